"""The cook's pages: what needs doing now, and recording it."""
