"""Signing in and out, and who is at the screen."""
