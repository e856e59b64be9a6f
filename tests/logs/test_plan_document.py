"""The HACCP plan on paper, read back from its PDF: each point that a published text asks for, with its own value.

FDA Food Code 8-201.14 is read in WAC 246-215-08215 and a county code; 9 CFR 417.2(c) and (d) in the Code of Federal
Regulations of 2005; the twelve steps of Codex CXC 1-1969 as ISO 22000:2018, Annex A, repeats them.
"""

import re
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from flask import Flask

from app import words
from app.logs.plan import PlanRecord, pdf, plan_document, plan_pdf
from app.logs.plan.points_of_law import POINTS, PointOfLaw, points_of_law
from app.rules.plans.plan import codes
from app.rules.plans.settings import SETTINGS
from tests.support import plan_record, reading_pdf
from tests.support.plan_record import LETTER, OWN_TEXTS, adopted, look, record

KITCHEN = adopted(
    hot_holding="150F/65.6C", cook_core="160F/71C", check_interval_min="55", variance="V-12", start_checks="water,lid"
)
RECORD = record(KITCHEN, looks=(look(basis="nothing unforeseen in 2025"),))


def read(content: bytes) -> str:
    return " ".join(reading_pdf.pages(content))


@cache
def of_section(text: str, title: str) -> str:
    """Give what stands under a heading, up to the next one; running heads and feet are left out."""
    foot = r"Version \d+, adopted for this kitchen by [^,]+, [^,]+, [\d:]+ \w+ page \d+ of \d+"
    plain = re.sub(rf"Kitchen S1 \(S1\) · HACCP plan ?version \d+|{foot}", "", text)
    after = re.split(rf"(?<!section ){re.escape(title)} ", plain, maxsplit=1)[-1]
    return re.split(r"(?:^|(?<!section) )\d{1,2}\. (?=[A-Z])", after)[0]


OWN_VALUE = {
    "product": OWN_TEXTS["product"],
    "flow": "CCP 4, cooking",
    "recipes": OWN_TEXTS["recipes"],
    "training": OWN_TEXTS["training"],
    "points": "CCP 5, hot holding",
    "limits": "Hot chicken is held at 150 °F (65.6 °C) or above.",
    "monitoring": "every 55 min",
    "verification": "nothing unforeseen in 2025",
    "actions": "continue cooking, throw away",
    "records": OWN_TEXTS["records"],
    "validation": "letter.pdf",
    "time_control": OWN_TEXTS["time_control"],
    "hazards": "Spores survive roasting",
    "history": "Pat Porter",
    "team": "Sam Silva",
}
"""What the document of this very plan says in the section that answers a point."""


@pytest.fixture(scope="module")
def app() -> Flask:
    from app import create_app

    return create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "for the test"})


@pytest.fixture(scope="module")
def printed(app: Flask) -> bytes:
    with app.app_context():
        return plan_pdf(RECORD)


@pytest.fixture(scope="module")
def text(printed: bytes) -> str:
    return read(printed)


def heading(key: str, app: Flask) -> str:
    with app.app_context():
        return next(section.heading for section in plan_document(RECORD).sections if section.key == key)


@pytest.mark.parametrize("point", POINTS, ids=lambda point: f"{point.source} {point.asks}")
def test_a_point_is_answered_with_the_plans_own_value(app: Flask, text: str, point: PointOfLaw) -> None:
    assert OWN_VALUE[point.section] in of_section(text, heading(point.section, app))
    where = f"{point.source} {point.asks} section {heading(point.section, app)}"
    assert where in of_section(text, heading("points_of_law", app))


@cache
def with_emptied(app: Flask, key: str) -> str:
    """Give the text of the same document with nothing left under one heading: the planted fault.

    Of the other sections those around it and the table of points are set: the whole takes a second for each key.
    """
    with app.app_context():
        whole = plan_document(RECORD)
        place = next(number for number, section in enumerate(whole.sections) if section.key == key)
        sections = list(whole.sections[:-1])
        sections[place] = replace(sections[place], blocks=())
        law = replace(points_of_law(sections), number=whole.sections[-1].number)
        around = (*sections[max(0, place - 1) : place + 2], law)
        return read(pdf.document_pdf(replace(whole, sections=around), RECORD))


@pytest.mark.parametrize("point", POINTS, ids=lambda point: f"{point.source} {point.asks}")
def test_a_point_is_no_longer_answered_where_its_section_alone_is_emptied(app: Flask, point: PointOfLaw) -> None:
    """The very check of the test above fails, though the heading stands; the table says that it is missing."""
    emptied = with_emptied(app, point.section)
    assert heading(point.section, app) in emptied
    assert OWN_VALUE[point.section] not in of_section(emptied, heading(point.section, app))
    assert f"{point.source} {point.asks} missing" in of_section(emptied, heading("points_of_law", app))
    others = {one.section for one in POINTS} - {point.section}
    kept = [key for key in others if heading(key, app) in emptied.split(heading("points_of_law", app))[0]]
    assert all(OWN_VALUE[key] in of_section(emptied, heading(key, app)) for key in kept)


def test_the_table_of_points_tells_which_section_is_emptied() -> None:
    sections = plan_document(RECORD).sections[:-1]
    emptied = [replace(one, blocks=()) if one.key == "limits" else one for one in sections]
    rows = points_of_law(emptied).blocks[0].rows
    assert [row[0] for row in rows if row[2] == "missing"] == [
        "Food Code 8-201.14",
        "9 CFR 417.2(c)(3)",
        "CXC 1-1969, 8",
    ]


@pytest.mark.parametrize("code", codes())
def test_a_plan_of_each_code_says_every_limit_with_its_source(app: Flask, code: str) -> None:
    """Every value that the adopted version holds stands in the document, with the source that the code gives."""
    with app.app_context():
        made = record(adopted(code))
        printed = read(plan_pdf(made))
        lacking = [name for name in SETTINGS if name not in _OF_THE_DAY and not _stands(made, name, printed)]
    assert lacking == []


_OF_THE_DAY = ("cook_target", "day_starts", "controls", "opening_checks", "closing_checks")
"""Settings of no rule that is in force by default: no limits of the plan."""


def _stands(made: PlanRecord, name: str, printed: str) -> bool:
    told = (words.limit_sentence(made.plan, name), made.plan.source(name))
    return all(re.sub(r"\s+", " ", each) in printed for each in told)


def test_what_the_kitchen_set_stands_beside_what_the_code_says(text: str) -> None:
    assert "the code says 135 °F / 57 °C: FDA Food Code 2022, 3-501.16(A)(1)" in text
    assert "set by the site under the variance" in text
    assert "Variance: V-12, for: Core temperature when pulled, at least." in text


def test_the_document_says_whose_word_approves_a_plan(text: str) -> None:
    assert "A plan is approved by the regulatory authority, not by a program." in text
    assert "Approved by the regulatory authority (name, date, signature):" in text


def test_the_document_names_kitchen_address_and_permit(text: str) -> None:
    assert "Kitchen S1 (S1) · 12 Elm Street, permit R-77" in text


def test_an_attachment_stands_with_its_fingerprint(text: str) -> None:
    assert LETTER.digest in text.replace(" ", "")


def test_what_only_the_kitchen_can_write_is_asked_for(app: Flask) -> None:
    with app.app_context():
        bare = record(adopted(texts={}, attachments=()))
        said = re.sub(r"<[^>]*>", " ", pdf.plan_html(plan_document(bare)))
    assert "Still to be written by the kitchen" in said
    assert "the kitchen&#39;s own text is missing" in said


def test_a_group_that_is_not_in_force_is_said_to_be_out(app: Flask) -> None:
    with app.app_context():
        out = record(adopted(controls="cooking,holding"))
        limits = next(one for one in plan_document(out).sections if one.key == "limits")
        said = pdf.plan_html(plan_document(out))
    assert [block.title for block in limits.blocks] == ["CCP 1, cooking", "CCP 2, hot holding"]
    assert "Switched off in this plan, so not controlled by it: time as the control, cooling" in said


def test_the_history_tells_who_adopted_what(app: Flask) -> None:
    second = adopted(version=2, at=datetime(2026, 3, 1, tzinfo=UTC), hot_holding="140F/60C")
    with app.app_context():
        history = next(one for one in plan_document(record(adopted(), second)).sections if one.key == "history")
    assert [row[0] for row in history.blocks[0].rows] == ["2", "1"]
    assert history.blocks[0].rows[0][2:4] == ("Pat Porter", "us_food_code_2022")
    assert history.blocks[0].rows[0][4] == "Hot holding, at least: 140\u00a0°F / 60\u00a0°C"


def test_the_same_plan_gives_the_same_file(app: Flask, printed: bytes) -> None:
    with app.app_context():
        assert plan_pdf(RECORD) == printed


def test_no_letter_is_under_nine_points(printed: bytes) -> None:
    assert min(reading_pdf.letter_sizes(printed)) >= 9


def test_every_setting_has_a_sentence() -> None:
    plan = plan_record.record().plan
    assert all(words.limit_sentence(plan, name).endswith(".") for name in SETTINGS)
