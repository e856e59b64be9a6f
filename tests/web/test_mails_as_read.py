"""Every mail that the program sends, as its reader has it on a phone: who it is from, what it is about, what to do."""

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from email.message import EmailMessage

import pytest
from flask import Flask

from app import register
from app.db import Database
from app.server import jobs
from app.words import alarms
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, evening, finding, keep, low_reading, ordinary_day, pulled
from tests.support.mail_server import MailServer

DAY = "/day/2026-04-14"
READER = "owner@example.org"
SetClock = Callable[[datetime | str], None]

_MOST_WORDS = 16
"""In a sentence; a name, a day and a time are many words of it."""
_INTERNAL = {"seq", "sign-off", "head", "chain", "ledger", "payload", "job", "null", "none", "alarm", "hold_reading"}


@pytest.fixture
def pat(database: Database, browser: Browser) -> Browser:
    """The person in charge; one address wants every mail there is."""
    with database.writing() as session:
        register.set_address(session, register.get_site(session, "S1"), READER, ["logs", "heads", "alarms"])
    return browser.sign_in("pat")


def run(app: Flask, clock: str) -> None:
    with app.app_context():
        jobs.run_due(cast.moment(clock))


def text_of(message: EmailMessage) -> str:
    body = message.get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def files_of(message: EmailMessage) -> list[tuple[str | None, str]]:
    return [(file.get_filename(), file.get_content_type()) for file in message.iter_attachments()]


@pytest.fixture
def overdue(app: Flask, database: Database, pat: Browser, server: MailServer) -> list[EmailMessage]:
    """A tray that was not checked in time."""
    keep(database, *pulled())
    pat.get("/setup/mail").send("/overdue", alarm_mail_min="20")
    run(app, "12:30")
    return server.messages


@pytest.fixture
def signed(
    app: Flask, database: Database, pat: Browser, server: MailServer, set_clock: SetClock
) -> Mapping[str, EmailMessage]:
    """A test message, and what is sent of a day with a tray that was too cold: its log, and its witness."""
    pat.get("/setup/mail").send("/test")
    keep(database, *low_reading(), *evening(), at="20:02")
    key = finding(database, "hold.temperature", as_of="20:30")
    keep(database, action(key, at="20:30"), at="20:40")
    set_clock("21:00")
    pat.sign_in("pat").get(DAY).send("/verification", findings=[key], outcome="accepted")
    assert "The day is signed." in pat.get(DAY).send("/sign", password=cast.PASSWORD).words
    run(app, "21:01")
    return {str(message["Subject"]).split()[0]: message for message in server.messages}


def test_the_mail_about_what_is_overdue(overdue: list[EmailMessage]) -> None:
    (message,) = overdue
    assert message["Subject"] == "Overdue: tray A-T1, check the temperature (Kitchen S1)"
    assert text_of(message).splitlines() == [
        "Tray A-T1, check the temperature.",
        "Overdue since Tue 14 April 2026, 12:06 CDT.",
        "",
        "See that its temperature is read. Call the kitchen if you are not there, and have it recorded.",
        "",
        "By the records of Kitchen S1, Tue 14 April 2026, 12:30 CDT.",
        "No second mail is sent about this until it changes.",
    ]


def test_the_mail_with_a_days_log(signed: Mapping[str, EmailMessage]) -> None:
    message = signed["Log"]
    assert message["Subject"] == "Log of Tue 14 April 2026, Kitchen S1"
    assert files_of(message) == [("S1-2026-04-14-log.pdf", "application/pdf")]
    text = text_of(message)
    assert "Pat Porter signed it on Tue 14 April 2026, 21:00 CDT." in text
    assert "Findings of the day: 1 not met. Page one says what was done about each." in text


def test_the_mail_that_is_kept_as_a_witness(signed: Mapping[str, EmailMessage]) -> None:
    message = signed["Keep"]
    assert message["Subject"] == "Keep this mail: Tue 14 April 2026 is signed, Kitchen S1"
    ((name, kind),) = files_of(message)
    assert (name, kind) == (f"S1-2026-04-14-entry-{cast.nth(15)}.json", "application/json")
    text = text_of(message)
    assert "Keep this mail, and leave it as it is. There is nothing else to do." in text
    assert "Kitchen: Kitchen S1 (S1)" in text
    assert f"Signed up to entry no.: {cast.nth(15)}" in text


def is_plain(message: EmailMessage) -> None:
    """Hold that a mail says whom it is from, in short sentences without words of the program's own."""
    text = text_of(message)
    assert message["From"] == "Kitchen S1 <log@kitchen.example>"
    assert "Kitchen S1" in text
    assert not _INTERNAL & set(re.findall(r"[\w-]+", f"{message['Subject']} {text}".lower()))
    sentences = re.split(r"(?<=[.:]) |\n", text)
    assert [one for one in sentences if len(one.split()) > _MOST_WORDS] == []


def test_the_mail_about_what_is_overdue_is_plain(overdue: list[EmailMessage]) -> None:
    is_plain(overdue[0])


def test_the_mails_about_a_signed_day_are_plain(signed: Mapping[str, EmailMessage]) -> None:
    assert sorted(signed) == ["Keep", "Log", "Test"]
    for message in signed.values():
        is_plain(message)


def test_a_day_on_which_nothing_was_wrong_says_so(
    app: Flask, database: Database, pat: Browser, server: MailServer, set_clock: SetClock
) -> None:
    keep(database, *ordinary_day(), *evening(), at="20:02")
    set_clock("21:00")
    pat.sign_in("pat").get(DAY).send("/sign", password=cast.PASSWORD)
    run(app, "21:01")
    (log,) = [message for message in server.messages if "Log of" in str(message["Subject"])]
    assert "The records show no deviation and no gap in the controls in force." in text_of(log)


def test_every_alarm_has_what_to_do_about_it() -> None:
    assert alarms._DO.keys() == alarms._ALARMS.keys()
