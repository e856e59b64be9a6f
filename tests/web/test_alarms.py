"""Alarms: silenced with a reason until the thing changes, on every tablet; and the test of their sound."""

from collections.abc import Callable
from datetime import datetime

from app.db import Database
from app.kinds import AlarmSilenced, SoundTest
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep, pulled

SetClock = Callable[[datetime | str], None]
DUE = "Tray T1: check the temperature"
# The check is due 90 minutes after the filling at 10:36: at 12:06, so that it is pressing at 12:00.


def silence(browser: Browser, reason: str = "I am doing it now.") -> Page:
    """Silence the first alarm of the first page with a phrase."""
    return browser.get("/").follow("Silence").send(reason_phrase=reason)


def test_a_silenced_alarm_leaves_the_band_and_its_line_says_who_and_why(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    assert DUE in cook.get("/due").words
    page = silence(cook)
    assert page.path == "/"
    assert "Silenced until it changes." in page.words
    assert DUE in page.words
    assert "Silenced by Casey Cook at 12:00: I am doing it now." in page.words
    assert cook.get("/due").words == ""


def test_it_is_silent_on_every_tablet(cook: Browser, browser: Browser, database: Database) -> None:
    keep(database, *pulled())
    silence(cook)
    other = browser.enrol("A")
    assert other.get("/due").words == ""
    assert "Silenced by Casey Cook" in other.get("/").words


def test_it_is_kept_as_an_entry_with_its_subject_and_reason(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    silence(cook)
    (entry,) = [one for one in assessed(database).entries if isinstance(one, AlarmSilenced)]
    assert (entry.about, entry.name, entry.alarm, entry.reason) == ("tray", "A-T1", "check_due", "I am doing it now.")
    page = cook.get("/entries")
    assert "Alarm silenced" in page.words
    assert "Tray T1: check due, I am doing it now." in page.words


def test_an_own_reason_counts_before_the_phrase(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = cook.get("/").follow("Silence").send(reason="The probe is\r\nat the  other oven.")
    assert "Silenced by Casey Cook at 12:00: The probe is at the other oven." in page.words


def test_without_a_reason_it_goes_on(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = cook.get("/").follow("Silence").send()
    assert page.status == 422
    assert DUE in cook.get("/due").words


def test_what_is_overdue_sounds_again(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *pulled())
    silence(cook)
    set_clock("12:10")
    assert DUE in cook.get("/due").words
    assert "Silenced" not in cook.get("/").words


def test_a_reading_ends_the_silence(tablet: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *pulled())
    silence(tablet)
    keep(database, cast.draft("hold_reading", at="12:01"), at="12:01")
    set_clock("13:25")  # due again 90 minutes later
    assert DUE in tablet.get("/due").words


def test_another_thing_sounds_all_the_same(cook: Browser, database: Database) -> None:
    halves = [cast.draft("spit_pulled", at="10:36", birds=birds, tray=f"A-T{birds}") for birds in (2, 3)]
    keep(database, *pulled()[:-1], *halves)
    cook.get("/alarms/silence?alarm=tray:A-T2:check_due").send(reason_phrase="The person in charge knows.")
    band = cook.get("/due").words
    assert "Tray T3: check the temperature" in band
    assert "T2" not in band


def test_birds_may_be_probed_while_the_alarm_to_pull_is_silent(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *pulled()[:-1])
    silence(cook)
    probed = cast.draft("cook_reading", at="12:01", bird=3)
    keep(database, probed, at="12:01")
    set_clock("12:02")
    assert cook.get("/due").words == ""
    keep(database, cast.draft("spit_pulled", at="12:03", birds=2), at="12:03")
    set_clock("12:04")
    assert "oven: pull" in cook.get("/due").words


def test_a_withdrawn_silence_is_none(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    silence(cook)
    (entry,) = [one for one in assessed(database).entries if isinstance(one, AlarmSilenced)]
    cook.get(f"/entries/{entry.id}/withdraw").send(amend_reason="The wrong tray.")
    assert DUE in cook.get("/due").words


def test_an_alarm_that_is_over_is_not_silenced(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    form = cook.get("/").follow("Silence")
    keep(database, cast.draft("hold_reading", at="11:59"))
    page = form.send(reason_phrase="I am doing it now.")
    assert "This alarm is over, or somebody silenced it already." in page.words
    assert [one for one in assessed(database).entries if isinstance(one, AlarmSilenced)] == []


def test_two_taps_silence_once(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    form = cook.get("/").follow("Silence")
    form.send(reason_phrase="I am doing it now.")
    form.send(reason_phrase="I am doing it now.")
    assert len([one for one in assessed(database).entries if isinstance(one, AlarmSilenced)]) == 1


def test_it_asks_for_no_check_and_no_sign_off_of_its_day(cook: Browser, database: Database) -> None:
    assert not AlarmSilenced.COUNTS_FOR_DAY
    assert not SoundTest.COUNTS_FOR_DAY
    cook.get("/alarms/sound").send(heard="yes")
    assert assessed(database).findings == ()


def test_opening_keeps_whether_the_tone_was_heard(cook: Browser, database: Database) -> None:
    page = cook.get("/checklists/opening").send(all_right="y", sound_offered="yes", heard="no")
    assert "Turn the sound of this device up and test it again." in page.words
    checklist, sound = assessed(database).entries
    assert (checklist.kind, sound.kind, sound.heard) == ("checklist", "sound_test", False)
    assert "Sound of the alarms not heard 12:00" in cook.get("/checks").words


def test_a_tone_that_was_offered_asks_for_its_answer(cook: Browser, database: Database) -> None:
    page = cook.get("/checklists/opening").send(all_right="y", sound_offered="yes")
    assert page.status == 422
    assert "Play the tone, then say whether you heard it." in page.words
    assert assessed(database).entries == ()


def test_a_device_without_the_script_is_not_asked_about_the_tone(cook: Browser, database: Database) -> None:
    cook.get("/checklists/opening").send(all_right="y")
    assert [one.kind for one in assessed(database).entries] == ["checklist"]


def test_the_sound_is_tested_again_on_its_own_page(cook: Browser, database: Database) -> None:
    page = cook.get("/checks").follow("Test").send(heard="yes")
    assert "The sound works." in page.words
    assert "Sound of the alarms heard 12:00" in page.words
    assert "the tone was heard" in cook.get("/entries").words
