"""A signed day's log is mailed by itself, on a real mail server: the kept file, to each address that wants it, once."""

from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app import register
from app.db import Database
from app.server import jobs
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import evening, keep, ordinary_day
from tests.support.mail_server import MailServer
from tests.support.reading_pdf import pages

DAY = "/day/2026-04-14"
SetClock = Callable[[datetime | str], None]


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: SetClock) -> Browser:
    """The person in charge in the evening; two addresses want logs, one wants something else."""
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.set_address(session, site, "owner@example.org", ["logs"])
        register.set_address(session, site, "office@example.org", ["logs", "alarms"])
        register.set_address(session, site, "pat@example.org", ["alarms"])
    set_clock("21:00")
    return browser.sign_in("pat")


def sign(browser: Browser) -> None:
    assert "The day is signed." in browser.get(DAY).send("/sign", password=cast.PASSWORD).words


def run(app: Flask, clock: str) -> None:
    with app.app_context():
        jobs.run_due(cast.moment(clock))


def logs_mailed(server: MailServer) -> list[str]:
    return sorted(str(message["To"]) for message in server.messages if "Log of" in str(message["Subject"]))


def test_the_kept_log_is_mailed_to_each_address_that_wants_it(pat: Browser, app: Flask, server: MailServer) -> None:
    sign(pat)
    assert server.messages == []
    run(app, "21:01")
    assert logs_mailed(server) == ["office@example.org", "owner@example.org"]
    message = server.messages[0]
    assert message["Subject"] == "Log of Tue 14 April 2026, Kitchen S1"
    (attached,) = message.iter_attachments()
    assert (attached.get_filename(), attached.get_content_type()) == ("S1-2026-04-14-log.pdf", "application/pdf")
    pdf = attached.get_content()
    assert pdf == pat.client.get(f"{DAY}/log.pdf").data
    assert "signed by Pat Porter" in pages(pdf)[0]
    body = message.get_body(("plain",))
    assert body is not None
    assert "Pat Porter signed it on Tue 14 April 2026, 21:00 CDT." in body.get_content()


def test_it_is_mailed_once_and_again_when_it_is_signed_again(
    pat: Browser, app: Flask, database: Database, server: MailServer, set_clock: SetClock
) -> None:
    sign(pat)
    run(app, "21:01")
    run(app, "21:05")
    assert len(logs_mailed(server)) == 2
    keep(database, cast.draft("note", at="20:30"), at="21:06")
    set_clock("21:10")
    sign(pat)
    run(app, "21:11")
    assert len(logs_mailed(server)) == 4


def test_a_server_that_refuses_is_tried_again_and_an_address_taken_off_gets_nothing(
    pat: Browser, app: Flask, database: Database, server: MailServer
) -> None:
    sign(pat)
    server.refuses = True
    run(app, "21:01")
    assert server.messages == []
    assert "not today" in pat.get("/setup/mail").words
    with database.writing() as session:
        register.forget_address(session, register.get_site(session, "S1"), "office@example.org")
    server.refuses = False
    run(app, "21:40")
    assert logs_mailed(server) == ["owner@example.org"]


def test_without_a_mail_server_nothing_is_asked_for(pat: Browser, app: Flask) -> None:
    sign(pat)
    run(app, "21:01")
    assert "waits to be sent" not in pat.get("/setup/mail").words
