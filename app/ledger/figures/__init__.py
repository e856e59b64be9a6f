"""The figures of past days, kept beside the ledger."""
