"""The daily log: its words, its charts and the printed PDF."""
