"""Passwords and PINs: what is accepted, and how they are kept (Argon2id, RFC 9106).

Length instead of rules of composition, a list of what guessers try first, nothing truncated: NIST SP 800-63B (2017),
5.1.1.2. Eight characters are the least; fifteen and more are advised, as its 2025 edition wants where nothing else
proves who signs in.
"""

import unicodedata
from itertools import pairwise
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

_LIST = """
    password password1 password12 password123 password1234 passw0rd p@ssw0rd p@ssword 12345678 123456789 1234567890
    0123456789 0987654321 987654321 87654321 11223344 12341234 12344321 123123123 1q2w3e4r 1q2w3e4r5t 1qaz2wsx
    1qazxsw2 q1w2e3r4 qwertyui qwertyuiop qwerty12 qwerty123 qwerty1234 asdfghjk asdfghjkl zxcvbnm1 zaq12wsx abcd1234
    abc12345 abcdefgh a1b2c3d4 aa123456 iloveyou iloveyou1 sunshine sunshine1 princess princess1 football football1
    baseball baseball1 basketball superman superman1 batman123 trustno1 whatever starwars jennifer jordan23 michelle
    michael1 charlie1 computer internet samsung1 corvette mercedes maverick liverpool liverpool1 chelsea1 arsenal1
    barcelona welcome1 welcome12 welcome123 letmein1 letmein123 changeme changeme1 changeme123 changeit default1
    administrator admin123 admin1234 adminadmin rootroot testtest test1234 guest123 user1234 master12 monkey12
    monkey123 dragon12 dragon123 shadow12 shadow123 blahblah blink182 fuckyou1 fuckyou2 pokemon1 killer12 cheese12
    chicken1 chicken12 chicken123 rotisserie kitchen1 kitchen12 kitchen123 restaurant summer2024 winter2024 spring2024
    summer2025 winter2025 spring2025 summer2026 winter2026 spring2026 contraseña contrasena"""
_TRIED_FIRST = frozenset(_LIST.split())


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
    if password in _TRIED_FIRST or len(set(password)) <= 2 or _is_run(password):
        return True
    return len(login) >= 3 and password.replace(login, "", 1).strip("0123456789.!_-") == ""


def _is_run(text: str) -> bool:
    """One character over and over, or each the next (or the one before): 0000, 1234, 8765, abcdefgh."""
    steps = {ord(after) - ord(before) for before, after in pairwise(text)}
    return len(steps) == 1 and steps <= {-1, 0, 1}
