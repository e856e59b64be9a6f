"""The kinds of entries: what can be recorded, and the form of each field."""
