"""The daily log, read back from the PDF as an inspector reads it: values, who and when, what was mended, who signed."""

import html
import io
import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader

from app import logs
from app.kinds import Entry
from app.logs.view import log_view
from tests.support import cast, printed_day
from tests.support.cast import entry
from tests.support.printed_day import HEAD

OVER = cast.moment("04:00") + timedelta(days=1)
"""When the business day ends."""


@cache
def read(pdf: bytes) -> str:
    """Give the PDF's text with every stretch of white space as one blank."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))


def on_paper(*extra: Entry, as_of: datetime = printed_day.ENDS, **settings: str) -> str:
    """Print the full day, with more entries or plan settings, and read the PDF back."""
    day = printed_day.assessment(*extra, as_of=as_of, settings=tuple(settings.items()))
    return read(logs.write_log(day, head=HEAD, records=printed_day.RECORDS))


def printed(*extra: Entry, as_of: datetime = printed_day.ENDS, **settings: str) -> str:
    """Give the words that would be set on paper, without waiting for the pages."""
    day = printed_day.assessment(*extra, as_of=as_of, settings=tuple(settings.items()))
    text = re.sub(r"<title>.*?</title>|<text.*?</text>|<[^>]*>", " ", logs.log_html(day, head=HEAD), flags=re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(text))


@pytest.fixture
def text(day_pdf: bytes) -> str:
    """The text of the full day's log."""
    return read(day_pdf)


def sign_off(*, seq: int = 90, person: str = "sam", covers: int = 73) -> Entry:
    """Give a sign-off as the ledger keeps it."""
    name = cast.PEOPLE[person].name
    server: dict[str, Any] = {"signer_name": name, "covers_seq": covers, "covers_hash": HEAD[1]}
    return entry("sign_off", at="23:00", seq=seq, person=person, as_of=cast.moment("23:00"), **server)


def test_the_head_names_site_day_zone_plan_and_fingerprint(text: str) -> None:
    for words in (
        "Kitchen S1 (S1)",
        "Tue 14 April 2026, 04:00 CDT to Wed 15 April 2026, 04:00 CDT",
        "America/Chicago",
        "FDA Food Code 2022 (us_food_code_2022), version 1, adopted for this kitchen by Pat Porter",
        "model code; adopted here by ____",
        "In charge Pat Porter from 08:00",
        f"no. {HEAD[0]} {HEAD[1]}",
    ):
        assert words in text


def test_readings_stand_with_value_and_unit_as_read(text: str) -> None:
    for words in (
        "breast, blue bird 1: 10:30 168 °F 14",
        "bird 4: 10:31 171.2 °F 15",
        "mean weight 3.25 lb",
        "40 birds, 38 °F",
        "28.9 °F",
    ):
        assert words in text


def test_an_entry_says_when_it_was_seen_by_whom_and_through_what(text: str) -> None:
    assert "12:10 149 °F blue, 71 RR·A" in text
    assert "Tray A-T1 not met · CC·A · unit pass" in text  # who wrote all of the row
    assert "12:00 151 °F blue, 40 13:30" in text
    assert "PP Pat Porter, CC Casey Cook, RR Robin Reyes." in text


def test_a_spit_says_how_many_birds_were_probed_and_the_lowest(text: str) -> None:
    assert "2 of 6 birds probed, lowest 168 °F" in text
    assert "1 of 5 birds probed, lowest 170 °F" in text


def test_a_late_entry_is_marked(text: str) -> None:
    assert "12:05 149 °F blue, 45 CC·A (late)" in text


@pytest.mark.usefixtures("paper")
def test_an_entry_written_later_says_when() -> None:
    seen = entry("hold_reading", at="13:31", seq=74, temperature="150")
    assert "13:31 150 °F blue, 74 (written 13:40)" in printed(replace(seen, recorded_at=cast.moment("13:40")))


def test_a_mended_entry_stays_with_the_reason(text: str) -> None:
    assert "119 °F" in text
    assert "corrected by no. 71, Robin Reyes, tablet A, 12:10: 119 was a slip of the finger" in text
    assert "corrects no. 70" in text


def test_what_was_mended_is_struck_through(paper: None) -> None:
    struck = re.findall(r"<s>(.*?)</s>", logs.log_html(printed_day.assessment(), head=HEAD))
    assert ["119\u00a0°F" in row for row in struck] == [True, False]


def test_a_withdrawn_entry_stays_with_the_reason(text: str) -> None:
    assert "Withdrawn entries" in text
    assert "withdrawn by no. 73, Casey Cook, tablet A, 12:51: tapped twice" in text


def test_a_finding_is_told_with_its_limit_and_its_source(text: str) -> None:
    assert "Spit 2 of load A-L1, core temperature when pulled: not met" in text
    assert "Pulled at 10:40 with bird 1 at 156 °F in the breast; the limit is 165 °F." in text
    assert "10:40 · critical limit · FDA Food Code 2022, 3-401.11(A)(3); birds probed: house" in text


def test_a_finding_that_a_mending_cleared_is_told_too(text: str) -> None:
    assert "Gone since an entry was corrected" in text
    assert "119 °F at 12:10; the limit is 135 °F." in text


def _action_and_review() -> list[Entry]:
    low = next(f for f in printed_day.assessment().findings if f.rule == "hold.temperature")
    action = entry("corrective_action", at="13:40", seq=80, findings=(low.key,), disposition="discard")
    review = entry("action_verified", at="21:00", seq=81, findings=(low.key,), person="pat", remark="hinge reported")
    return [action, review]


@pytest.mark.usefixtures("paper")
def test_a_finding_carries_its_action_and_its_review() -> None:
    text = printed(*_action_and_review())
    assert "Corrective action (no. 80, Casey Cook, tablet A, 13:40). Cause: taken off too soon. Done: put back." in text
    assert "Food: throw away. To prevent it: probe the thickest bird" in text
    assert "Corrective action reviewed (no. 81, Pat Porter, tablet A, 21:00). Accepted, hinge reported" in text


@pytest.mark.usefixtures("paper")
def test_an_author_reviewing_his_own_action_is_printed_so() -> None:
    action, review = _action_and_review()
    action = replace(action, person="pat")
    assert "reviewed by its own author: nobody else in charge made an entry that day" in printed(action, review)


def test_every_verdict_is_a_word_beside_its_mark(text: str) -> None:
    for words in ("8 not met", "6 not recorded", "Lot 0412-7 met"):
        assert words in text


def test_birds_are_balanced_and_carried_forward(text: str) -> None:
    assert "Birds 17 loaded on spits, 17 pulled, 9¾ served, 0 prepared, 0 donated, 2¾ thrown away, 2 chilled" in text
    assert "Held now: batch A-B1: 2 birds; tray A-T3: 2½ birds" in text.replace("A- T3", "A-T3")  # a line ends there


@pytest.mark.usefixtures("paper")
def test_birds_of_the_day_before_are_carried_in() -> None:
    day = printed_day.assessment(as_of=OVER + timedelta(hours=8), day=cast.DAY + timedelta(days=1))
    view = log_view(day)
    assert {line.partition(":")[0] for line in view.carried_in} == {"tray A-T3", "batch A-B1"}


def test_a_day_that_runs_says_so(text: str) -> None:
    assert "day in progress, updated 23:30" in text


@pytest.mark.usefixtures("paper")
def test_a_day_that_is_over_and_unsigned_says_so() -> None:
    text = printed(as_of=OVER)
    assert "Signature not signed" in text
    assert "day in progress" not in text


@pytest.mark.usefixtures("paper")
def test_a_signed_day_prints_name_meaning_and_time() -> None:
    text = printed(sign_off())
    for words in (
        "signed by Sam Silva",
        "I have reviewed these records.",
        "Tue 14 April 2026, 23:00 CDT",
        f"Signed up to entry no. 73, {HEAD[1]}",
    ):
        assert words in text
    assert "reviewed by the person who made the records" not in text


@pytest.mark.usefixtures("paper")
def test_the_makers_own_review_is_printed_so() -> None:
    made = entry("hold_reading", at="13:31", seq=74, person="pat", temperature="150")
    text = printed(made, sign_off(person="pat", covers=74))
    assert "reviewed by the person who made the records" in text


@pytest.mark.usefixtures("paper")
def test_a_signature_before_later_entries_says_that_it_is_stale() -> None:
    text = printed(sign_off(), entry("note", at="22:30", seq=91, text="One more thing."))
    assert "signed, and changed since: asks for a new sign-off" in text
    assert "Entries that touch this day came later" in text


@pytest.mark.usefixtures("paper")
def test_groups_that_are_not_in_force_are_named() -> None:
    text = printed(controls="cooking,holding")
    assert "Not in force in this plan, so nothing here is judged: cooling." in text
    assert "Controls not in force: time as the control, cooling, reheating, cold storage, receiving" in text


def test_every_limit_says_what_binds_and_its_source(text: str) -> None:
    code, house = text.index("Model code Core temperature"), text.index("House rule ")
    assert "A section alone is one of FDA Food Code 2022." in text
    assert code < text.index("Hot holding, at least: 135 °F / 57 °C · 3-501.16(A)(1)") < house
    assert house < text.index("Time between hot-holding checks: 1 h 30 min")


@pytest.mark.usefixtures("paper")
def test_a_target_is_printed_as_a_target_and_not_as_the_limit() -> None:
    words = printed(cook_target="180F/82C")
    assert "2 of 6 birds probed, lowest 168 °F; 0 of 2 at the house goal of 180 °F" in words
    assert "House rule, set by the site House goal when pulled: 180 °F / 82 °C" in words
    assert "target of 180" not in printed()


@pytest.mark.usefixtures("paper")
def test_a_plan_on_a_table_says_what_is_shown_of_its_conditions() -> None:
    words = printed(cook_table="chicken 150F 12%", cook_humidity="humid_part")
    assert "humidity in the oven, for the table of times: not recorded" in words
    assert "chicken, 150 °F, 12 % fat" in words
    assert "Guidance Core temperature when pulled, at least: 152 °F / 66.6 °C · USDA FSIS Cooking Guideline" in words
    assert "the records do not show what that table asks for besides: how humid the oven was and how long" in words


@pytest.mark.usefixtures("paper")
def test_what_the_site_set_is_not_shown_as_the_codes() -> None:
    assert "House rule, set by the site Hot holding, at least: 140 °F / 60 °C" in printed(hot_holding="140F/60C")


def test_the_cautions_defer_to_code_authority_and_licensed_people(text: str) -> None:
    for words in ("burn", "The local code, the regulatory authority and licensed professionals"):
        assert words in text


def test_each_page_carries_site_day_fingerprint_and_its_number(day_pdf: bytes) -> None:
    pages = PdfReader(io.BytesIO(day_pdf)).pages
    for number, page in enumerate(pages, start=1):
        page_text = re.sub(r"\s+", " ", page.extract_text())
        assert f"page {number} of {len(pages)}" in page_text
        assert HEAD[1] in page_text
        assert "Kitchen S1 (S1) · Tue 14 April 2026" in page_text


@pytest.mark.usefixtures("paper")
def test_hostile_text_is_printed_as_text() -> None:
    text = on_paper(entry("note", at="22:30", seq=91, text="<script>alert(1)</script> & <img src=x>"))
    assert "<script>alert(1)</script> & <img src=x>" in text


@pytest.mark.usefixtures("paper")
def test_an_empty_day_can_be_printed() -> None:
    day = printed_day.assessment(as_of=cast.moment("09:00", day=date(2026, 3, 2)), day=date(2026, 3, 2))
    text = read(logs.write_log(day, head=(0, HEAD[1]), records="{}"))
    assert "No entries." in text
    assert "The records show no deviation and no gap in the controls in force." in text


@pytest.mark.usefixtures("paper")
def test_of_earlier_probe_checks_only_the_last_is_printed() -> None:
    days = [cast.moment("08:00") - timedelta(days=days) for days in (3, 2, 1)]
    text = printed(*[entry("probe_check", at=at, temperature=f"31.{10 + n}") for n, at in enumerate(days)])
    assert [f"31.{10 + n} °F" in text for n in range(3)] == [False, False, True]


@pytest.mark.usefixtures("paper")
def test_a_line_outside_its_subject_says_what_it_is_about() -> None:
    assert "oven east: set" in printed()
    assert "equipment west: out of use" in printed(entry("equipment_out", at="18:00", code="west"))


@pytest.mark.usefixtures("paper")
def test_an_entry_kept_on_the_tablet_says_when_it_arrived() -> None:
    kept = entry("hold_reading", at="13:31", temperature="150")
    kept = replace(kept, entered_at=cast.moment("13:32"), recorded_at=cast.moment("15:10"))
    assert "kept on the tablet until 15:10" in printed(kept)


def test_what_stands_among_the_notes_says_of_which_kind_it_is(paper: None) -> None:
    watched = entry("work_observed", at="12:00", seq=91, person="pat")
    text = printed(watched, entry("sound_test", at="12:10", seq=92), entry("note", at="12:20", seq=93))
    assert "Work observed: cook, " in text
    assert "Sound test: the tone was heard" in text
    assert "Quiet morning." in text
    assert "Note: " not in text
