"""Cells of a file that a spreadsheet opens: what was typed is never run as a formula.

OWASP, CSV Injection (owasp.org/www-community/attacks/CSV_Injection): a cell that begins with = + - @, a tab, a carriage
return or a line feed, or with a full-width form of those signs, gets an apostrophe before it. Numbers stay numbers.
"""

import csv
import re
import string
import unicodedata
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

Cell = str | int | Decimal | date | None
Row = tuple[Cell, ...]

_SIGNS = frozenset("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_PLAIN = frozenset((*string.ascii_letters, *string.digits, ""))
_AT_A_TIME = 200
"""Rows that go out together: a row alone costs more on its way than in the making."""


def safe(cell: Cell) -> str:
    """Give a cell as it is written: text that a spreadsheet might take for a formula begins with an apostrophe."""
    if isinstance(cell, str):
        return f"'{cell}" if cell and _may_be_formula(cell) else cell
    return "" if cell is None else str(cell)


def _may_be_formula(text: str) -> bool:
    first = text[0]
    if first.isascii() and first.isalnum():  # as nearly always
        return False
    if _NUMBER.fullmatch(text):
        return False
    if first in _SIGNS or first == "\ufeff":
        return True
    # What nobody sees may be dropped on the way: what comes after it counts, too.
    seen = next((one for one in text if not (one.isspace() or unicodedata.category(one) in ("Cf", "Cc"))), "")
    return seen != first and seen in _SIGNS


class _Lines:
    """What a writer of rows writes to: keeps the lines until they are taken."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def write(self, line: str) -> int:
        self.lines.append(line)
        return len(line)

    def take(self) -> str:
        taken = "".join(self.lines)
        self.lines.clear()
        return taken


def csv_lines(head: Row, rows: Iterable[Row]) -> Iterator[str]:
    """Write a table as CSV (RFC 4180) with a byte order mark, by which spreadsheets know that it is UTF-8."""
    kept = _Lines()
    writer = csv.writer(kept)
    kept.write("\ufeff")
    writer.writerow([safe(cell) for cell in head])
    for number, row in enumerate(rows, start=1):
        # Most cells are numbers, or begin with a letter or digit: they are written as they are.
        writer.writerow(
            [cell if cell is None or type(cell) is not str or cell[:1] in _PLAIN else safe(cell) for cell in row]
        )
        if number % _AT_A_TIME == 0:
            yield kept.take()
    yield kept.take()
