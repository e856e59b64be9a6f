"""What a cell of a file for a spreadsheet may be, and how rows go out."""

import csv
import io
from collections.abc import Iterator
from decimal import Decimal

import pytest

from app.server.spreadsheet import FEW, MANY, csv_lines
from app.server.spreadsheet.cells import safe


@pytest.mark.parametrize(
    "text",
    [
        *("=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\uff1d1+1", "\uff0b1", "\uff0d1+1", "\uff20a"),
        *("\ufeff=1", "\ufeffplain", " =1+1", "\u200b=1", "\u00a0@a", "=cmd|' /C calc'!A0", "-", "+"),
    ],
)
def test_text_that_a_spreadsheet_might_run_begins_with_an_apostrophe(text: str) -> None:
    """OWASP, CSV Injection: = + - @, tab, carriage return, line feed and their full-width forms at the beginning."""
    assert safe(text) == f"'{text}"


@pytest.mark.parametrize(
    "cell", [Decimal("-18.5"), -3, "-18.5", "-0.25", "0412-7", "whole chicken", "a=b", "", "ñandú", " 7"]
)
def test_numbers_and_ordinary_text_stay_as_they_are(cell: Decimal | int | str) -> None:
    assert safe(cell) == str(cell)


@pytest.mark.parametrize(("number", "written"), [("52.0", "52"), ("0.00", "0"), ("51.50", "51.5"), ("100", "100")])
def test_a_number_is_written_as_short_as_it_is(number: str, written: str) -> None:
    assert safe(Decimal(number)) == written


def test_a_quote_and_a_line_end_inside_a_cell_are_kept() -> None:
    text = "".join(csv_lines(("note",), [('say "hot"\nand = wait',)]))
    assert list(csv.reader(io.StringIO(text.removeprefix("\ufeff")))) == [["note"], ['say "hot"\nand = wait']]


def test_rows_go_out_as_they_are_made_a_few_at_a_time_where_each_takes_a_while() -> None:
    def made() -> Iterator[tuple[str]]:
        for number in range(25):
            asked.append(number)
            yield (str(number),)

    asked: list[int] = []
    parts = csv_lines(("no",), made(), FEW)
    assert (next(parts), asked) == ("\ufeffno\r\n", [])
    assert (next(parts).count("\r\n"), len(asked)) == (10, 10)
    assert len(list(csv_lines(("no",), made(), MANY))) == 2
