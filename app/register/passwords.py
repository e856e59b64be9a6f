"""Passwords and PINs: what is accepted, and how they are kept (Argon2id, RFC 9106).

Length instead of rules of composition, a list of what guessers try first, nothing truncated: NIST SP 800-63B-4 (2025),
3.1.1.2; OWASP ASVS 5.0, 6.2.1 to 6.2.8 (at least the 3,000 most frequent ones). Eight characters are the least;
fifteen and more are advised, as NIST wants where nothing else proves who signs in.
"""

import unicodedata
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import NewType

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from .refused import Refused

Hashed = NewType("Hashed", str)
"""A password or PIN as it is kept. Made before a writing transaction is opened: hashing is slow."""

NO_PASSWORD = Hashed("none")
"""What is kept where there is none: no password has this hash."""

SHORTEST, LONGEST = 8, 1000
PIN_SHORTEST, PIN_LONGEST = 4, 8

hasher = PasswordHasher()
_NOBODY = "$argon2id$v=19$m=65536,t=3,p=4$lBXhTa85Ti4HBFzWYLmicw$ph7naNr5ta6U/00DiyjhXODX70blhC5rhXROBO96uOc"
"""A hash of the library's present parameters that no password has: checking it takes as long as checking a real one."""

_OUR_TRADE = """
    chicken1 chicken12 chicken123 rotisserie rotisserie1 kitchen1 kitchen12 kitchen123 restaurant restaurant1 haccp123
    roastledger roast123 temperature summer2025 winter2025 spring2025 autumn2025 summer2026 winter2026 spring2026
    autumn2026 contraseña"""
_SAID = Path(__file__).with_name("common_passwords.txt")


@cache
def tried_first() -> frozenset[str]:
    """Give what guessers try first: over 8,000 leaked passwords that are long enough, and words of this trade."""
    lines = _SAID.read_text("utf-8").splitlines()
    return frozenset(line.casefold() for line in lines if not line.startswith("#")) | frozenset(_OUR_TRADE.split())


def hash_password(password: str, *, login: str) -> Hashed:
    """Hash a new password. Raises Refused at `password` (missing, range, type, weak)."""
    if not password:
        raise Refused("password", "missing")
    text = _composed("password", password)
    if len(text) < SHORTEST:
        raise Refused("password", "range", low=SHORTEST)
    if len(text) > LONGEST:
        raise Refused("password", "range", high=LONGEST)
    if _is_tried_first(text.casefold(), login.casefold()):
        raise Refused("password", "weak")
    return Hashed(hasher.hash(text))


def hash_pin(pin: str) -> Hashed:
    """Hash a new PIN of 4 to 8 digits. Raises Refused at `pin` (missing, type, range, weak)."""
    if not pin:
        raise Refused("pin", "missing")
    if not (pin.isascii() and pin.isdigit()):
        raise Refused("pin", "type", expected="digits only")
    if not PIN_SHORTEST <= len(pin) <= PIN_LONGEST:
        raise Refused("pin", "range", low=PIN_SHORTEST, high=PIN_LONGEST)
    if _is_run(pin):
        raise Refused("pin", "weak")
    return Hashed(hasher.hash(pin))


def matches(kept: str | None, typed: str) -> bool:
    """Whether the typed password or PIN is the kept one; as slow where nothing is kept, so that time tells nothing."""
    known = None if kept == NO_PASSWORD else kept
    try:
        text = _composed("password", typed) if len(typed) <= 4 * LONGEST else ""
        hasher.verify(known or _NOBODY, text)
    except (VerificationError, InvalidHashError, Refused):
        return False
    return known is not None


def _composed(field: str, text: str) -> str:
    """The same password typed on another keyboard gives the same characters (Unicode's NFKC form)."""
    try:
        return unicodedata.normalize("NFKC", text.encode().decode())
    except UnicodeEncodeError:
        raise Refused(field, "type", expected="text") from None


def _is_tried_first(password: str, login: str) -> bool:
    if password in tried_first() or len(set(password)) <= 2 or _is_run(password):
        return True
    return len(login) >= 3 and password.replace(login, "", 1).strip("0123456789.!_-") == ""


def _is_run(text: str) -> bool:
    """One character over and over, or each the next (or the one before): 0000, 1234, 8765, abcdefgh."""
    steps = {ord(after) - ord(before) for before, after in pairwise(text)}
    return len(steps) == 1 and steps <= {-1, 0, 1}
