"""The index: which entries name which subject, and from when to when subjects held birds."""
