"""The pages of whoever is in charge or inspects: days, entries, signing, trends, traces."""
