"""A signed day whose log cannot be written or stamped says so on its page and in the calendar, with what to do."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask

from app.server import jobs, kept_logs
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.certificates import write_p12
from tests.support.kept_days import KeptDays

SetClock = Callable[[datetime | str], None]
DAY = f"/day/{cast.DAY}"
NOT_WRITTEN = "The log of this day is not written yet."


@pytest.fixture
def sign(app: Flask, browser: Browser, set_clock: SetClock) -> Callable[[], Browser]:
    """Signs the example day at eight, and tries once to write its log; gives the person in charge."""

    def signing() -> Browser:
        with app.app_context():
            set_clock("19:00")
            days = KeptDays(app)
            days.write(cast.DAY)
            set_clock("20:00")
            days.sign(cast.DAY)
            jobs.run_due(cast.moment("20:01"))
        set_clock("20:02")
        return browser.sign_in("pat")

    return signing


def test_a_passphrase_that_does_not_open_the_key(app: Flask, sign: Callable[[], Browser]) -> None:
    app.config["SIGNING_PASSPHRASE"] = "of another kitchen"
    with app.app_context():
        kept_logs.identity_of("S1", at=cast.moment("18:00"))
    app.config["SIGNING_PASSPHRASE"] = "mistyped"
    words = sign().get(DAY).words
    assert f"{NOT_WRITTEN} The passphrase does not open the key that signs logs. Set SIGNING_PASSPHRASE right" in words
    assert "The signature stands" in words
    assert "It is tried again by itself, next Tue 14 April 2026, 20:02" in words


def test_a_certificate_that_has_ended(app: Flask, sign: Callable[[], Browser], tmp_path: Path) -> None:
    file = tmp_path / "kitchen.p12"
    write_p12(file, until=cast.moment("19:30"), passphrase=b"of the house")
    app.config.update(SIGNING_P12=str(file), SIGNING_P12_PASSPHRASE="of the house")
    pat = sign()
    assert f"{NOT_WRITTEN} The certificate in {file} has ended: put a new one in its place." in pat.get(DAY).words
    assert f"{NOT_WRITTEN} The certificate in {file} has ended" in pat.get(f"{DAY}/log.pdf").words


def test_the_calendar_counts_it_until_it_is_written(
    app: Flask, sign: Callable[[], Browser], set_clock: SetClock
) -> None:
    app.config["SIGNING_P12"] = "/no/such/file.p12"
    pat = sign()
    page = pat.get("/calendar").words
    assert "log not written" in page
    assert "1 day asks for something" in page
    app.config["SIGNING_P12"] = ""
    with app.app_context():
        jobs.run_due(cast.moment("20:30"))
    set_clock("20:31")
    assert "log not written" not in pat.get("/calendar").words
    assert NOT_WRITTEN not in pat.get(DAY).words


def test_a_log_that_somebody_opened_meanwhile_is_no_longer_told(app: Flask, sign: Callable[[], Browser]) -> None:
    app.config["SIGNING_P12"] = "/no/such/file.p12"
    pat = sign()
    app.config["SIGNING_P12"] = ""
    assert pat.client.get(f"{DAY}/log.pdf").mimetype == "application/pdf"
    assert NOT_WRITTEN not in pat.get(DAY).words


def test_an_inspector_is_not_told_where_the_servers_files_lie(app: Flask, sign: Callable[[], Browser]) -> None:
    app.config["SIGNING_P12"] = "/no/such/file.p12"
    sign()
    words = Browser(app.test_client()).sign_in("ines").get(DAY).words
    assert NOT_WRITTEN in words
    assert "/no/such" not in words


def test_a_time_stamp_service_that_is_away(app: Flask, sign: Callable[[], Browser]) -> None:
    app.config["TIMESTAMP_URL"] = "http://127.0.0.1:9/"  # where nothing listens
    words = sign().get(DAY).words
    assert "The time-stamp service has not stamped this signature yet." in words
    assert "The signature and the log are good without it." in words
    assert NOT_WRITTEN not in words
