"""A refusal by the register, and the checks of text that it shares; codes made of names."""

import re
import unicodedata
from collections.abc import Iterator
from itertools import count

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}")
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""Unicode categories that cannot be seen on a page, or turn its text round."""


class Refused(ValueError):
    """What was asked cannot be done: `field` is where, `code` says why, `values` fill the sentence.

    Codes: missing, type, range, unknown, forbidden, taken, retired, last, weak, differs,
    not_behind, moved, no_password, large, kind, relied_on.
    """

    def __init__(self, field: str, code: str, **values: object) -> None:
        super().__init__(f"{field}: {code}")
        self.field, self.code, self.values = field, code, values


def is_code(text: str) -> bool:
    """Whether this can be a code or login at all: anything else is not even looked up (a database may not take it)."""
    return _NAME.fullmatch(text) is not None


def checked_code(field: str, text: str) -> str:
    """Give a code or login as typed, without the blanks around it. Raises Refused (missing, type)."""
    code = text.strip()
    if not code:
        raise Refused(field, "missing")
    if not is_code(code):
        raise Refused(field, "type", value=text, expected="letters, digits . _ - (at most 32)")
    return code


def checked_line(field: str, text: str, *, longest: int = 100) -> str:
    """Give one line of text in Unicode's composed form (NFC). Raises Refused (missing, type, range)."""
    line = unicodedata.normalize("NFC", text).strip()
    if not line:
        raise Refused(field, "missing")
    if any(unicodedata.category(character) in _HIDDEN for character in line):
        raise Refused(field, "type", expected="one line of text")
    if len(line) > longest:
        raise Refused(field, "range", high=longest)
    return line


def plain_words(text: str) -> list[str]:
    """Give the words of a name as a code can hold them: `Élodie's Kitchen` gives `elodies` and `kitchen`."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = ["".join(filter(str.isalnum, word)) for word in plain.split()]
    return [word for word in words if word]


def numbered(first: str) -> Iterator[str]:
    """Give a code and, where it is taken, what may be tried next: `ana`, `ana-2`, `ana-3` …"""
    yield first
    yield from (f"{first}-{number}" for number in count(2))
