"""Cells of a file that a spreadsheet opens: what was typed is never run as a formula.

OWASP, CSV Injection (owasp.org/www-community/attacks/CSV_Injection): a cell that begins with = + - @, a tab, a carriage
return or a line feed, or with a full-width form of those signs, gets an apostrophe before it. Numbers stay numbers.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from itertools import islice

Cell = str | int | Decimal | date | None
Row = tuple[Cell, ...]

_SIGNS = frozenset("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_NOT_PLAIN = re.compile(r"[,\n](?:[^A-Za-z0-9,\r-]|-(?![0-9]+(?:\.[0-9]+)?(?:[,\r]|\Z)))")
"""A cell that begins neither with a letter or digit nor is a number below zero."""
MANY, FEW = 200, 10
"""Rows that go out together: a row alone costs more on its way than in the making, unless a day is assessed for it."""


def safe(cell: Cell) -> str:
    """Give a cell as it is written: text that a spreadsheet might take for a formula begins with an apostrophe, and a
    number has no zeros behind its last digit after the point.
    """
    if isinstance(cell, str):
        return f"'{cell}" if cell and _may_be_formula(cell) else cell
    if isinstance(cell, Decimal):
        return f"{cell.normalize():f}"  # 52 and not 52.0 beside another 52
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


def csv_lines(head: Row, rows: Iterable[Row], at_a_time: int = MANY) -> Iterator[str]:
    """Write a table as CSV (RFC 4180) with a byte order mark, by which spreadsheets know that it is UTF-8.

    Gives so many rows at a time.
    """
    yield "\ufeff" + _written([head])
    left = iter(rows)
    while some := list(islice(left, at_a_time)):
        yield _written(some)


def _written(rows: Sequence[Row]) -> str:
    return _if_plain(rows) or _cell_by_cell(rows)


def _if_plain(rows: Sequence[Row]) -> str | None:
    """Write rows of text in which no cell is to be quoted or made safe, as nearly always; None for all others.

    What is joined here is what the writer of the library would write, found at once for many rows: no quote, no comma
    or line end but those between cells, and every cell empty, a number, or begun by a letter or digit.
    """
    try:
        # Cells that are no text are found by what joining raises.
        text = "\n" + "\r\n".join([",".join(row) for row in rows])  # type: ignore[arg-type]
    except TypeError:
        return None
    lines, commas = len(rows), sum(map(len, rows)) - len(rows)
    is_plain = text.count(",") == commas and text.count("\n") == lines and text.count("\r") == lines - 1
    return text[1:] + "\r\n" if is_plain and '"' not in text and not _NOT_PLAIN.search(text) else None


def _cell_by_cell(rows: Sequence[Row]) -> str:
    written = io.StringIO(newline="")
    csv.writer(written).writerows([safe(cell) for cell in row] for row in rows)
    return written.getvalue()
