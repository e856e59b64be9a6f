"""How the log stands on its pages: how many there are, how large the letters are, and where tables and pages break."""

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise

import pytest

from app import logs
from app.rules.day import shown
from tests.support import paper_days, paper_layout, printed_day, reading_pdf
from tests.support.reading_pdf import PrintedLine

HEAD = printed_day.HEAD
DAYS: dict[str, Callable[[], shown.Assessment]] = {
    "ordinary": paper_days.ordinary,
    "busiest": paper_days.busiest,
    "much wrong": printed_day.assessment,
}
pytestmark = pytest.mark.usefixtures("paper")
EACH_DAY = pytest.mark.parametrize("name", DAYS)


@cache
def day(name: str) -> shown.Assessment:
    return DAYS[name]()


@cache
def pdf(name: str) -> bytes:
    return logs.write_log(day(name), head=HEAD, records=paper_days.records(day(name)))


def body(page: list[PrintedLine]) -> list[PrintedLine]:
    """The lines of a page without its head and foot."""
    return page[1:-1]


def test_the_days_are_of_the_size_that_they_are_named_for() -> None:
    ordinary, busiest = day("ordinary"), day("busiest")
    assert (len(ordinary.loads), len(ordinary.trays)) == (9, 13)
    assert sum(len(load.spits) for load in busiest.loads) == 12
    assert (len(busiest.loads), len(busiest.trays), len(busiest.entries)) == (6, 40, 400)


@pytest.mark.parametrize(("name", "most"), [("ordinary", 5), ("busiest", 12)])
def test_a_day_takes_few_pages(name: str, most: int) -> None:
    assert len(reading_pdf.pages(pdf(name))) <= most


@EACH_DAY
def test_no_letter_is_smaller_than_9_points(name: str) -> None:
    assert min(reading_pdf.letter_sizes(pdf(name))) >= 9


@EACH_DAY
def test_no_page_but_the_last_is_half_empty(name: str) -> None:
    *full, _last = reading_pdf.lines(pdf(name))
    assert [body(page)[-1].bottom > 0.5 for page in full] == [True] * len(full)


@EACH_DAY
def test_no_heading_stands_last_on_a_page(name: str) -> None:
    last = {body(page)[-1].text for page in reading_pdf.lines(pdf(name))}
    assert last & paper_layout.headings(logs.log_html(day(name), head=HEAD)) == set()


@EACH_DAY
def test_no_row_of_a_table_stands_alone(name: str) -> None:
    fragments = iter(reading_pdf.rows_of_fragments(pdf(name)))
    for head, rows in paper_layout.tables(logs.log_html(day(name), head=HEAD)):
        left = rows
        while left > 0:
            all_here, drawings = next(fragments)
            here = all_here - head
            assert here >= min(2, rows) or here == drawings  # a chart says itself what it is of
            left -= here


def test_a_table_that_goes_on_says_so_and_repeats_its_heads() -> None:
    tops = [[line.text for line in body(page)[:3]] for page in reading_pdf.lines(pdf("busiest"))]
    assert ["Hot holding, continued", "Hot holding", "Filled Read Moved and out"] in tops
    assert [top[0] for top in tops if top[0].startswith("Trays")] == ["Trays, continued"]
    assert any(re.fullmatch(r"Load A-0414-L\d, oven \w+, continued", top[0]) for top in tops)


def test_only_what_goes_on_is_said_to() -> None:
    pages = [[line.text for line in body(page)] for page in reading_pdf.lines(pdf("busiest"))]
    for before, page in pairwise(pages):
        said = page[0].removesuffix(", continued")
        if said != page[0]:
            assert any(said in line for line in before)
    assert not pages[0][0].endswith("continued")


def test_every_entry_stands_on_paper_with_its_number() -> None:
    words = " ".join(reading_pdf.pages(pdf("ordinary")))
    written = [entry.seq - 150_000 for entry in day("ordinary").entries if entry.kind != "sign_off"]
    assert "014 is entry no. 150014." in words
    assert [seq for seq in written if not re.search(rf"(?<![\d.:]){seq:03d}(?![\d.:])", words)] == []
