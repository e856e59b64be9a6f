"""Who gets mail: set on a page, and tried out on a real mail server."""

from datetime import datetime, timedelta

import pytest
from flask import Flask

from app import register
from app.db import Database
from app.server import jobs, mail
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.mail_server import MailServer, mail_server

PATH = "/setup/mail"


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_an_address_gets_what_it_is_set_for_and_is_removed(pat: Browser, database: Database) -> None:
    assert (PATH, "Open") in pat.get("/setup").links
    page = pat.get(PATH).send(PATH, mail_address="Owner@Example.ORG", mails=["logs", "heads"])
    assert "Owner@example.org was set." in page.words
    assert _wanting(database) == {"alarms": [], "logs": ["Owner@example.org"], "heads": ["Owner@example.org"]}
    pat.get(PATH).send(PATH, mail_address="Owner@example.org", mails=["alarms"])
    assert _wanting(database) == {"alarms": ["Owner@example.org"], "logs": [], "heads": []}
    pat.get(PATH).send("/remove")
    assert _wanting(database) == {"alarms": [], "logs": [], "heads": []}


def test_who_wants_what_is_overdue_is_told_that_the_minutes_are_missing(pat: Browser) -> None:
    missing = "Nobody is told yet what is overdue"
    assert missing not in pat.get(PATH).words
    assert missing in pat.get(PATH).send(PATH, mail_address="owner@example.org", mails=["alarms"]).words
    assert missing not in pat.get(PATH).send("/overdue", alarm_mail_min="20").words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"mail_address": "owner", "mails": ["logs"]}, "kitchen@example.com"),
        ({"mail_address": "a@b.c\nBcc: d@e.f", "mails": ["logs"]}, "one line of plain text"),
        ({"mail_address": "owner@example.org"}, "What is sent: this is needed"),
        ({"mail_address": "", "mails": ["logs"]}, "E-mail address: this is needed"),
    ],
)
def test_what_is_no_address_is_refused_at_its_field(
    pat: Browser, database: Database, typed: dict[str, str | list[str]], said: str
) -> None:
    page = pat.get(PATH).send(PATH, **typed)
    assert (page.status, said in page.words) == (422, True), page.words
    assert not any(_wanting(database).values())


def test_a_test_message_is_sent_at_once(pat: Browser, server: MailServer) -> None:
    pat.get(PATH).send(PATH, mail_address="owner@example.org", mails=["logs"])
    page = pat.get(PATH).send("/test")
    assert "A test message was sent to owner@example.org." in page.words
    [message] = server.messages
    assert (message["To"], message["From"]) == ("owner@example.org", "Kitchen S1 <log@kitchen.example>")
    assert "test message from the temperature log" in message.get_content()


def test_no_text_makes_a_header_of_its_own(app: Flask, server: MailServer) -> None:
    message = mail.Message('Mill "<a@b.c>"\r\nCc: b@c.d', "Log of Mill\r\nBcc: all@example.org\n\nRead this", "-")
    mail.send(app.config, message, to=["owner@example.org"])
    [sent] = server.messages
    assert (sent["Bcc"], sent["Cc"], sent["Subject"]) == (None, None, "Log of Mill Bcc: all@example.org Read this")
    [sender] = sent["From"].addresses
    assert (sender.addr_spec, sender.display_name) == ("log@kitchen.example", 'Mill "<a@b.c>" Cc: b@c.d')


@pytest.mark.parametrize("kitchen", ["Zoë’s Küche", "Mill, Lane & Co.", "x" * 200])
def test_any_name_of_a_kitchen_stands_beside_the_sender(app: Flask, server: MailServer, kitchen: str) -> None:
    mail.send(app.config, mail.Message(kitchen, "Log", "-"), to=["owner@example.org"])
    [sender] = server.messages[0]["From"].addresses
    assert (sender.addr_spec, sender.display_name) == ("log@kitchen.example", kitchen)


def test_a_server_that_refuses_or_is_not_there_is_told_at_the_address(
    pat: Browser, app: Flask, server: MailServer
) -> None:
    server.refuses = True
    listed = pat.get(PATH).send(PATH, mail_address="owner@example.org", mails=["logs"])
    page = listed.send("/test")
    assert (page.status, "not today" in page.words) == (422, True)
    app.config["MAIL_SERVER"] = "smtp://127.0.0.1:1"
    page = listed.send("/test")
    assert (page.status, "The test message was not sent: 127.0.0.1" in page.words) == (422, True)
    app.config["MAIL_SERVER"] = ""
    assert "No mail server is set" in pat.get(PATH).words


def test_what_could_not_be_sent_is_told_with_its_reason(
    pat: Browser, app: Flask, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "_KINDS", dict(jobs._KINDS))

    @jobs.job("letter", lane="outside")
    def send(payload: jobs.Payload, at: datetime) -> None:
        mail.send(app.config, mail.Message("Mill", "A day", "Its log."), to=["owner@example.org"])

    app.config["MAIL_SERVER"] = "smtp://127.0.0.1:1"
    now = cast.moment("12:00")
    with app.app_context():
        with database.writing() as session:
            jobs.ask(session, "letter", "a day", at=now)
        jobs.run_due(now)
    words = pat.get(PATH).words
    assert "Tries so far: 1" in words
    assert "127.0.0.1" in words
    with mail_server() as running, app.app_context():
        app.config["MAIL_SERVER"] = running.url
        jobs.run_due(now + timedelta(minutes=1))
    assert [message["Subject"] for message in running.messages] == ["A day"]
    assert "waits to be sent" not in pat.get(PATH).words


def _wanting(database: Database) -> dict[str, list[str]]:
    with database.reading() as session:
        site = register.get_site(session, "S1")
        return {mail: register.addresses_for(session, site, mail) for mail in register.MAILS}
