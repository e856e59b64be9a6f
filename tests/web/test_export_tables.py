"""The quick ways of the tables: what they write is what the slow way would."""

import csv
import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.kinds import Entry
from app.kinds.reading import fields_of
from app.server.spreadsheet import csv_lines
from app.server.spreadsheet.cells import safe
from app.server.spreadsheet.entries import movements_of
from tests.support.any_food import foods

CELL = st.one_of(
    st.sampled_from(
        ["A-T1", "165", "-18.5", "-5", "", "=1", "-", "+1", "@a", " =1", "a,b", 'say "hot"', "a\nb", "ñ", "-1+1"]
    ),
    st.text(max_size=4),
)


@given(st.lists(st.tuples(CELL, CELL, CELL), max_size=5))
def test_rows_that_are_joined_at_once_are_what_the_library_writes_cell_by_cell(
    rows: list[tuple[str, str, str]],
) -> None:
    expected = io.StringIO(newline="")
    csv.writer(expected).writerows([safe(cell) for cell in row] for row in [("a", "b", "c"), *rows])
    assert "".join(csv_lines(("a", "b", "c"), rows)) == "\ufeff" + expected.getvalue()


def of_flows(entry: Entry) -> Iterator[tuple[str, str, str, str, str, Decimal]]:
    """Give the movements of an entry as the rules see them."""
    taken = next((flow for flow in entry.flows() if flow.birds < 0), None)
    put = next((flow for flow in entry.flows() if flow.birds > 0), None)
    source = (taken.subject.kind, taken.subject.label) if taken else ("", "")
    way, out = getattr(entry, "to", None), -taken.birds if taken else Decimal(0)
    if put:
        yield (*source, way or "", put.subject.kind, put.subject.label, put.birds)
    if taken and (left := out - (put.birds if put else 0)) > 0:
        yield (*source, "discarded" if put else way or "discarded", "", "", left)


@given(foods())
def test_movements_are_those_that_the_rules_see(entries: list[Entry]) -> None:
    for entry in entries:
        if type(entry).flows is Entry.flows:
            continue
        told: dict[str, Any] = {name: _plain(value) for name, value in fields_of(entry).items()}
        rows = [(*row[:5], Decimal(row[5])) for row in movements_of({"kind": entry.kind, **told})]
        assert rows == list(of_flows(entry))


def _plain(value: Any) -> Any:
    """Give a value as a hashed object has it."""
    if isinstance(value, tuple):
        return list(value)
    return str(value) if isinstance(value, Decimal) else value
