"""Where a row of the typed paper form stands, and what is said of its rows."""

import re
from dataclasses import replace

from flask_babel import gettext as _
from flask_babel import ngettext

from app.logs.blank_form import SECTIONS, section_word

from ..parts.page_form import ErrorLine

_CELL = re.compile(r"(?P<section>[a-z]+)-(?P<row>[0-9]+)-[a-z_]+")


def placed(line: ErrorLine) -> ErrorLine:
    """Give an error with the table and the row that it is about: the same words stand in many rows."""
    cell = _CELL.fullmatch(line.id or "")
    if cell is None or cell["section"] not in SECTIONS:
        return line
    where = {"table": section_word(cell["section"]), "row": int(cell["row"]) + 1}
    return replace(line, text=_("%(table)s, row %(row)s: %(error)s", error=line.text, **where))


def saved_words(count: int) -> str:
    """Say how many entries were made."""
    said: str = ngettext(
        "%(num)s entry is saved, marked as from paper.", "%(num)s entries are saved, marked as from paper.", count
    )
    return said
