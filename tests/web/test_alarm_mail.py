"""What is overdue is mailed, on a real mail server: after the minutes that the kitchen set, once for each thing."""

import pytest
from flask import Flask

from app import register
from app.db import Database
from app.server import jobs
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import keep, pulled
from tests.support.mail_server import MailServer

PATH = "/setup/mail"


@pytest.fixture
def pat(browser: Browser, database: Database) -> Browser:
    """The person in charge; tray A-T1 is to be checked by 12:06 (every 90 minutes)."""
    keep(database, *pulled())
    with database.writing() as session:
        register.set_address(session, register.get_site(session, "S1"), "pat@example.org", ["alarms"])
        register.set_address(session, register.get_site(session, "S1"), "owner@example.org", ["logs"])
    return browser.sign_in("pat")


def set_minutes(browser: Browser, minutes: str) -> Page:
    """Set after how many minutes overdue a mail is sent."""
    return browser.get(PATH).send("/overdue", alarm_mail_min=minutes)


def run(app: Flask, clock: str) -> None:
    """Do what is due at a time of day."""
    with app.app_context():
        jobs.run_due(cast.moment(clock))


def subjects(server: MailServer) -> list[str]:
    return [str(message["Subject"]) for message in server.messages]


def test_after_the_minutes_that_were_set_one_mail_tells_it(pat: Browser, app: Flask, server: MailServer) -> None:
    assert "What is overdue is mailed." in set_minutes(pat, "20").words
    run(app, "12:25")
    assert subjects(server) == []
    run(app, "12:26")
    run(app, "12:27")
    run(app, "12:50")
    (message,) = server.messages
    assert (message["To"], message["Subject"]) == (
        "pat@example.org",
        "Overdue: tray A-T1, check the temperature (Kitchen S1)",
    )
    text = message.get_content()
    assert "Tray A-T1, check the temperature." in text
    assert "Overdue since Tue 14 April 2026, 12:06 CDT." in text
    assert "No second mail is sent about this until it changes." in text


def test_what_changed_and_is_overdue_again_is_mailed_again(
    pat: Browser, app: Flask, database: Database, server: MailServer
) -> None:
    set_minutes(pat, "20")
    run(app, "12:30")
    keep(database, cast.draft("hold_reading", at="12:31"), at="12:31")
    run(app, "14:20")
    assert len(server.messages) == 1
    run(app, "14:22")
    assert [("14:01 CDT." in message.get_content()) for message in server.messages] == [False, True]


def test_who_silenced_it_is_told_too(pat: Browser, app: Flask, database: Database, server: MailServer) -> None:
    set_minutes(pat, "20")
    keep(database, cast.draft("alarm_silenced", at="12:10"), at="12:10")
    run(app, "12:30")
    assert "Silenced by Casey Cook at 12:10: Coming." in server.messages[0].get_content()


def test_nothing_is_mailed_where_no_minutes_are_set(pat: Browser, app: Flask, server: MailServer) -> None:
    set_minutes(pat, "20")
    assert "Nothing that is overdue is mailed." in set_minutes(pat, "").words
    run(app, "12:30")
    run(app, "14:00")
    assert server.messages == []
    set_minutes(pat, "0")
    run(app, "14:01")
    assert subjects(server) == ["Overdue: tray A-T1, check the temperature (Kitchen S1)"]


def test_a_mail_that_could_not_be_sent_is_sent_when_the_server_is_back(
    pat: Browser, app: Flask, server: MailServer
) -> None:
    set_minutes(pat, "20")
    server.refuses = True
    run(app, "12:30")
    assert "not today" in pat.get(PATH).words
    server.refuses = False
    run(app, "12:40")
    assert len(server.messages) == 1


def test_a_mail_that_waited_until_it_was_over_is_not_sent(
    pat: Browser, app: Flask, database: Database, server: MailServer
) -> None:
    set_minutes(pat, "20")
    server.refuses = True
    run(app, "12:30")
    keep(database, cast.draft("hold_reading", at="12:31"), at="12:31")
    server.refuses = False
    run(app, "12:40")
    assert server.messages == []


def test_looking_leaves_one_look_behind(pat: Browser, app: Flask, database: Database, server: MailServer) -> None:
    set_minutes(pat, "20")
    set_minutes(pat, "30")
    for minute in range(10, 20):
        run(app, f"12:{minute}")
    with database.reading() as session:
        looks = [job for job in session.query(jobs.Job).all() if job.kind == "overdue_look"]
    assert [job.done_at is None for job in looks].count(True) == 1
    assert len(looks) <= 2


@pytest.mark.parametrize("typed", ["soon", "-1", "1441", "1.5"])
def test_what_is_no_number_of_minutes_is_refused_at_its_field(pat: Browser, typed: str) -> None:
    page = set_minutes(pat, typed)
    assert page.status == 422
    assert dict(page.form("/overdue").fields)["alarm_mail_min"] == typed
    assert "Minutes overdue before a mail is sent" in page.words


def test_a_mail_goes_by_the_clock_of_the_kitchen(
    pat: Browser, app: Flask, database: Database, server: MailServer
) -> None:
    with database.writing() as session:
        register.change_site(session, register.get_site(session, "S1"), at=cast.moment("12:00"), clock=12)
    set_minutes(pat, "20")
    run(app, "12:30")
    assert "Overdue since Tue 14 April 2026, 12:06\xa0pm CDT." in server.messages[0].get_content()
