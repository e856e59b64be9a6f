"""What is kept beside the ledger: what it should say, where it says something else, and making it anew."""
