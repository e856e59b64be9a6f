"""Checks in the kitchen's own words: the code that each has in the plan, so that a past day keeps its words."""

import re
import unicodedata

from app import words

_LONGEST_CODE = 32


def own_items(lines: list[str], known: tuple[str, ...]) -> dict[str, str]:
    """Give each check in the kitchen's own words a code: the one that it had, else one made of its letters."""
    by_words = {words.check_words(item).title: item for item in known}
    found: dict[str, str] = {}
    for line in lines:
        found[by_words.get(line) or _new_code(line, taken={*found, *known, *words.usual_checks()})] = line
    return found


def _new_code(line: str, *, taken: set[str]) -> str:
    plain = unicodedata.normalize("NFKD", line).encode("ascii", "ignore").decode().lower()
    code = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[: _LONGEST_CODE - 3].strip("-") or "check"
    if code not in taken:
        return code
    return next(f"{code}-{number}" for number in range(2, 100) if f"{code}-{number}" not in taken)
