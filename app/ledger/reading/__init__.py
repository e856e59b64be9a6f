"""Reading: the entries that a day, a trace or a history needs."""
