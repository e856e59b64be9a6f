"""The week: what verification looks at, on a page and on paper, and the signature under it."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from app import ledger
from app.db import Database
from app.kinds.verification import Training
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import action, evening, finding, keep, low_reading, mending, ordinary_day
from tests.support.reading_pdf import pages

WEEK = "/weeks/2026-04-13"
MONDAY_AFTER = date(2026, 4, 20)

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: SetClock) -> Browser:
    """The person in charge on the Monday after a week with one low reading."""
    keep(database, *low_reading())
    keep(database, *evening(), at="20:02")
    set_clock(cast.moment("09:00", day=MONDAY_AFTER))
    return browser.sign_in("pat")


def sign(browser: Browser, **typed: str) -> Page:
    return browser.get(WEEK).send("/sign", **{"password": cast.PASSWORD, **typed})


def test_any_day_leads_to_its_week(pat: Browser) -> None:
    assert pat.get("/weeks/2026-04-16").path == WEEK
    assert pat.get("/days").follow("Weeks").follow("Open").status == 200


def test_a_week_tells_days_readings_and_who_is_not_trained(pat: Browser) -> None:
    words = pat.get(WEEK).words
    assert "Mon 13 April 2026 to Sun 19 April 2026" in words
    assert "0 / 1 days signed" in words
    assert "0 critical readings on time 4 written late" in words
    assert "Casey Cook none on record" in words
    assert "No work was observed this week." in words
    assert "probe blue" in words.lower()
    assert "blue Tue 14 April 2026, 06:10 CDT ice point 32.4 °F 0.4 °F Casey Cook met" in words


def test_what_was_set_aside_says_how_it_ended(pat: Browser) -> None:
    assert "The records show no food that was set aside." in pat.get(WEEK).words


def test_an_action_that_came_back_is_told_with_what_was_missing(database: Database, pat: Browser) -> None:
    key, at = finding(database, "hold.temperature", as_of=cast.moment("20:30")), cast.moment("08:00", day=MONDAY_AFTER)
    keep(database, action(key, at="21:00"), at=cast.moment("07:50", day=MONDAY_AFTER))
    sent = cast.draft("action_verified", at=at, findings=[key], outcome="sent_back", remark="Which birds?")
    keep(database, sent, by="pat", at=at)
    words = pat.get(WEEK).words
    assert "1 action sent back" in words
    assert "Pat Porter, Mon 20 Apr, 08:00: Which birds? sent back" in words


def test_work_that_was_watched_and_a_training_are_written_from_the_week(pat: Browser, set_clock: SetClock) -> None:
    set_clock(cast.moment("12:00", day=date(2026, 4, 16)))
    pat.sign_in("pat")
    page = pat.get(WEEK).follow("Record work that was observed")
    page = page.send(whom="cook", watched="probing", outcome="corrected", remark="Probe touched the bone.")
    assert (page.path, "Saved: Work observed." in page.words) == (WEEK, True)
    page = pat.get(WEEK).follow("Record a training")
    page.send(whom="cook", what="Probing", taught_by="Pat Porter", until="2027-04-16")
    words = pat.get(WEEK).words
    assert "Casey Cook probing birds on the spit corrected on the spot Probe touched the bone. Pat Porter" in words
    assert "Everybody who worked this week has a valid training on record." in words
    assert "Casey Cook none on record" not in words


@pytest.mark.parametrize("kind", ["work_observed", "training"])
def test_what_is_left_out_is_asked_for_at_its_field(pat: Browser, kind: str) -> None:
    page = pat.get(f"/write/{kind}").send(**{"taught_by": "Pat"} if kind == "training" else {"remark": "Seen."})
    assert page.status == 422
    assert "Say: whom" in page.words or "whom" in page.words.lower()
    assert "Pat" in page.html if kind == "training" else "Seen." in page.html


@pytest.mark.parametrize("kind", ["work_observed", "training"])
def test_only_who_works_in_the_kitchen_is_offered(pat: Browser, kind: str) -> None:
    """An inspector only reads: nobody trains or watches them."""
    offered = pat.get(f"/write/{kind}").words
    assert all(name in offered for name in ("Casey Cook", "Robin Reyes", "Pat Porter", "Sam Silva"))
    assert "Ines Ito" not in offered


@pytest.mark.parametrize(("whom", "name"), [("ines", "Ines Ito"), ("Ash Ames", "Ash Ames")])
def test_mending_a_training_keeps_whom_it_names(database: Database, pat: Browser, whom: str, name: str) -> None:
    """The ledger takes any name: what was written of an inspector, or of a guest, is mended without losing whom."""
    written = cast.draft("training", at=cast.moment("08:00", day=MONDAY_AFTER), whom=whom)
    keep(database, written, by="pat", at=cast.moment("08:00", day=MONDAY_AFTER))
    page = pat.get(f"/entries/{written['id']}")
    assert name in page.words
    page = page.send(what="Cooling", amend_reason="Another lesson.")
    assert "Corrected." in page.words
    with database.reading() as session:
        as_of = cast.moment("10:00", day=MONDAY_AFTER)
        (kept,) = ledger.entries_since(session, "S1", Training, since=cast.OPENED, as_of=as_of)
    assert isinstance(kept, Training)
    assert (kept.whom, kept.what) == (whom, "Cooling")


def test_a_cook_writes_neither(database: Database, cook: Browser) -> None:
    page = cook.get("/write/training").send(whom="robin", what="Probing", taught_by="me")
    assert page.status == 422
    assert "This is for the person in charge." in page.words


def test_at_a_tablet_the_pin_is_enough_to_write_down_what_was_watched(browser: Browser) -> None:
    browser.enrol()
    browser.choose("pat")
    page = browser.get("/write/work_observed").send(whom="cook", watched="probing", outcome="right")
    assert "Saved: Work observed." in page.words


def test_a_week_is_signed_and_says_so(pat: Browser) -> None:
    page = sign(pat, note="Looked at with everybody.")
    assert page.path == WEEK
    assert "The week is signed." in page.words
    assert "signed by Pat Porter" in page.words
    assert "Meaning I have verified the records of this week." in page.words
    assert "Remark Looked at with everybody." in page.words
    assert "Sign the week" not in page.words
    assert "signed by Pat Porter, Mon 20 April 2026, 09:00 CDT" in pat.get("/weeks").words


def test_a_wrong_password_signs_nothing_and_keeps_the_remark(pat: Browser) -> None:
    page = sign(pat, password="wrong", note="Looked at.")
    assert page.status == 422
    assert "This is not your password." in page.words
    assert "Looked at." in page.html
    assert "not signed" in page.words


def test_a_week_that_moved_is_shown_again(database: Database, pat: Browser) -> None:
    page = pat.get(WEEK)
    now = cast.moment("08:59", day=MONDAY_AFTER)
    keep(database, cast.draft("note", at="20:30", text="The pass was cleaned."), at=now)
    page = page.send("/sign", password=cast.PASSWORD)
    assert page.status == 422
    assert "Look at the week again, then sign." in page.words


def test_a_signed_week_that_changed_says_so(database: Database, pat: Browser) -> None:
    sign(pat)
    keep(database, cast.draft("note", at="20:30"), at=cast.moment("09:01", day=MONDAY_AFTER))
    words = pat.get(WEEK).words
    assert "Something in this week changed later: it asks for a new signature." in words
    assert "Sign again" in words


def test_a_week_that_is_not_over_says_so_where_it_would_be_signed(pat: Browser) -> None:
    words = pat.get("/weeks/2026-04-20").words
    assert "Nothing is recorded for this week." in words or "This week is not over yet" in words


def test_a_running_week_with_entries_offers_no_signature(
    database: Database, browser: Browser, set_clock: SetClock
) -> None:
    keep(database, *ordinary_day())
    page = browser.sign_in("pat").get(WEEK)
    assert "This week is not over yet: it can be signed once its Sunday is over." in page.words
    assert not any(form.action.endswith("/sign") for form in page.forms)


def test_the_week_on_paper_says_the_same(pat: Browser) -> None:
    sign(pat)
    answer = pat.client.get(f"{WEEK}/week.pdf")
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf")
    text = " ".join(pages(answer.data))
    for said in ("Mon 13 April 2026 to Sun 19 April 2026", "critical readings on time", "Casey Cook none on record"):
        assert said in text
    assert "I have verified the records of this week." in text
    assert "Probe blue: 1 check; it may be off by 1 °C." in text  # above its chart
    assert answer.data == pat.client.get(f"{WEEK}/week.pdf").data


def test_an_inspector_reads_the_week_and_signs_nothing(pat: Browser, browser: Browser) -> None:
    page = browser.sign_in("ines").get(WEEK)
    assert page.status == 200
    assert not any(form.action.endswith("/sign") for form in page.forms)


def test_the_calibration_report_has_every_check_with_its_reference(pat: Browser) -> None:
    page = pat.get("/calibration?first=2026-04-01&last=2026-04-20")
    assert "Probe blue 1 check, 1 passed" in page.words
    assert "Tue 14 April 2026, 06:10 CDT ice point 32 °F 32.4 °F 0.4 °F Casey Cook met" in page.words
    assert "It may be off by 1 °C (FDA Food Code 4-203.11)." in page.words
    answer = pat.client.get("/calibration/report.pdf?first=2026-04-01&last=2026-04-20&probe=blue")
    text = " ".join(pages(answer.data))
    assert "1 check, 1 passed" in text
    assert "Probe blue: 1 check; it may be off by 1 °C." in text
    assert "Probe white" not in text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("first=2026-04-20&last=2026-04-01", "This day is before the first one."),
        ("first=x&last=2026-04-01", "This is not a date."),
        ("first=2023-04-20&last=2026-04-01", "These are more than two years."),
        ("first=2026-05-01&last=2026-05-02", "This day has not come yet."),
        ("probe=nonsense", "Choose one of these."),
    ],
)
def test_a_period_that_cannot_be_is_said_at_its_field(pat: Browser, query: str, said: str) -> None:
    page = pat.get(f"/calibration?{query}")
    assert page.status == 422
    assert said in page.words


def test_two_weeks_later_the_week_before_is_not_shown_as_signed(pat: Browser, set_clock: SetClock) -> None:
    set_clock(cast.moment("09:00", day=MONDAY_AFTER + timedelta(days=14)))
    pat.sign_in("pat")
    assert "not signed" in pat.get("/weeks").words


def test_food_that_was_aside_until_an_entry_was_corrected_says_so(
    database: Database, browser: Browser, set_clock: SetClock
) -> None:
    drafts = [*ordinary_day(), *evening()]
    low = drafts[7] = {**drafts[7], "temperature": "150"}
    keep(database, *drafts, at="20:02")
    keep(database, mending(low, temperature="166"), at="20:03")
    set_clock(cast.moment("09:00", day=MONDAY_AFTER))
    words = browser.sign_in("pat").get(WEEK).words
    assert "5 birds served at 11:40, while set aside. Gone since an entry was corrected" in words


def test_what_lacks_in_a_training_is_listed_in_the_order_of_its_fields(browser: Browser) -> None:
    words = browser.sign_in("pat").get("/write/training").send().words
    asked = [words.index(f"{field}: this is needed") for field in ("Whom", "What was taught", "Taught by whom")]
    assert asked == sorted(asked)
