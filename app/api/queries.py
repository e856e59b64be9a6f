"""Reading what stands in an address: days, instants, numbers."""

import re
from datetime import date, datetime

from flask import request
from flask_babel import gettext as _
from werkzeug.exceptions import BadRequest, NotFound

from app.kinds.values import BadValue, read_instant

_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_YEARS = range(1970, 9000)
"""What the ledger can hold, with room for the longest limit on either side."""


def day_of(text: str) -> date:
    """Read a day in a path. Raises 404 for what is no date."""
    try:
        day = date.fromisoformat(text) if _DAY.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None or day.year not in _YEARS:
        raise NotFound(_("There is no such day; a day is written 2026-04-14."))
    return day


def instant_of(name: str) -> datetime | None:
    """Read an instant with its offset, e.g. `2026-04-14T12:00:00-05:00`. Raises 400."""
    text = _single(name)
    if text is None:
        return None
    try:
        # A plus sign that was not escaped arrives as a blank.
        at = read_instant(text.replace(" ", "+"))
    except BadValue:
        raise _bad(name, "2026-04-14T17:00:00Z") from None
    if at.year not in _YEARS:
        raise _bad(name, "2026-04-14T17:00:00Z")
    return at


def count_of(name: str) -> int | None:
    """Read a whole number from 0. Raises 400."""
    text = _single(name)
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= 18):
        raise _bad(name, "41")
    return int(text)


def switch_of(name: str) -> bool:
    """Read `true` or `false`; absent is false. Raises 400."""
    text = _single(name)
    if text not in (None, "true", "false"):
        raise _bad(name, "true")
    return text == "true"


def _single(name: str) -> str | None:
    if not request.query_string:
        return None
    values = request.args.getlist(name)
    if len(values) > 1:
        raise BadRequest(_("%(name)s is given more than once.", name=name))
    return values[0] if values else None


def _bad(name: str, example: str) -> BadRequest:
    return BadRequest(_("%(name)s cannot be read; it is written like %(example)s.", name=name, example=example))
