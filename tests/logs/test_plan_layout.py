"""How the HACCP plan stands on its pages, by every code of law."""

from functools import cache

import pytest
from flask import Flask

from app.logs.plan import pdf, plan_document
from app.rules.plans.plan import codes
from tests.support import paper_layout, reading_pdf
from tests.support.plan_record import adopted, record
from tests.support.reading_pdf import PrintedLine

pytestmark = pytest.mark.usefixtures("paper")


@cache
def set_by(code: str) -> tuple[str, bytes]:
    """Give a code's plan as text and as PDF."""
    plan = record(adopted(code))
    document = plan_document(plan)
    return pdf.plan_html(document), pdf.document_pdf(document, plan)


def bodies(code: str) -> list[list[PrintedLine]]:
    """Give the lines of each page without its head and foot."""
    return [page[1:-1] for page in reading_pdf.lines(set_by(code)[1])]


@pytest.mark.parametrize("code", codes())
def test_no_page_is_half_empty_no_heading_last_and_no_row_alone(code: str) -> None:
    """All of a code's pages are looked at in one test: a plan takes seconds to set."""
    text, content = set_by(code)
    assert [page[-1].bottom > 0.5 for page in bodies(code)] == [True] * len(bodies(code))
    assert {page[-1].text for page in bodies(code)} & paper_layout.headings(text) == set()
    assert paper_layout.fewest_rows_together(text, content) >= 3


def test_what_is_said_above_a_table_stands_on_its_page() -> None:
    for page in bodies("us_food_code_2022"):
        assert not page[-1].text.startswith("CXC 1-1969: Codex")


def test_a_number_of_degrees_is_not_parted_from_its_unit(app: Flask) -> None:
    with app.app_context():
        assert "82 °C" not in set_by("ontario_493_17")[0]
        assert "82\u00a0°C" in set_by("ontario_493_17")[0]
