"""Passwords hashed as cheaply as Argon2 can be: what a hash costs is held by tests of its own."""

from argon2 import PasswordHasher

from app.register import passwords

REAL, REAL_NOBODY = passwords.hasher, passwords._NOBODY
"""As they are served with: taken before anything is put in their place."""
CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
CHEAP_NOBODY = CHEAP.hash("a password that nobody has")
