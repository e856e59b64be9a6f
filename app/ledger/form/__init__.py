"""The form of entries: bytes and hash, drafts, typed entries."""
