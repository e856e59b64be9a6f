"""The page of signed logs: what is kept, the certificate to hang up, everything of a period, how long to keep it."""

import io
import zipfile
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app import words
from app.db import Database
from app.server import kept_logs
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.kept_days import KeptDays

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def database(kept_kitchen: Database) -> Database:
    """The kitchens whose example day was signed."""
    return kept_kitchen


@pytest.fixture
def pat(browser: Browser, set_clock: SetClock) -> Browser:
    """The person in charge, on a day that was signed."""
    set_clock("20:00")
    return browser.sign_in("pat")


def test_it_lists_the_kept_log_and_gives_its_file(app: Flask, pat: Browser) -> None:
    page = pat.get("/logs")
    with app.extensions["database"].reading() as session:
        (log,) = kept_logs.kept_logs(session, "S1")
        pdf = kept_logs.read_pdf(session, "S1", log.signed_seq)
    assert words.fingerprint(log.sha256) in page.words
    assert pat.client.get(f"/logs/{log.signed_seq}.pdf").data == pdf
    assert pat.client.get("/logs/1.pdf").status_code == 404
    assert pat.client.get("/logs/99999999999.pdf").status_code == 404


def test_the_fingerprint_to_hang_up_is_that_of_the_certificate(app: Flask, pat: Browser) -> None:
    with app.app_context():
        own = kept_logs.identity_of("S1", at=cast.moment("20:00")).fingerprint
    assert words.fingerprint(own) in pat.get("/logs").words
    assert pat.client.get("/logs/certificate.pem").data.startswith(b"-----BEGIN CERTIFICATE-----")


def test_everything_of_a_period_is_one_file(pat: Browser) -> None:
    answer = pat.client.get(f"/logs/archive?first={cast.DAY}&last={cast.DAY}")
    names = zipfile.ZipFile(io.BytesIO(answer.data)).namelist()
    assert {"records.jsonl", "records.csv", "plans.json", "check_logs.py", "README.txt"} <= set(names)
    assert answer.headers["Content-Disposition"] == "attachment; filename=S1-2026-04-14-2026-04-14.zip"
    answer.close()


@pytest.mark.parametrize("query", ["", "?first=2026-04-14", "?first=2026-04-15&last=2026-04-14", "?first=x&last=y"])
def test_no_period_is_told_at_its_field(pat: Browser, query: str) -> None:
    page = pat.get(f"/logs/archive{query}")
    assert page.status == 422
    assert "Give the first and the last day, in this order." in page.words


def test_it_says_which_days_were_kept_how_long(pat: Browser) -> None:
    text = pat.get("/logs").words
    assert "24 months 21 CFR 117.315(a)(1) Sun 14 April 2024" in text
    assert "6 months FDA Food Code, 3-502.12(D)(3) Tue 14 October 2025" in text


def test_another_kitchen_has_none_of_it(pat: Browser, app: Flask) -> None:
    with app.extensions["database"].reading() as session:
        (log,) = kept_logs.kept_logs(session, "S1")
    stranger = Browser(app.test_client()).sign_in("other-lead")
    assert stranger.client.get(f"/logs/{log.signed_seq}.pdf").status_code == 404
    assert "No log is kept yet." in stranger.get("/logs").words


def test_the_page_of_a_day_signed_again_leads_to_both_logs(app: Flask, pat: Browser, set_clock: SetClock) -> None:
    set_clock("21:00")
    with app.app_context():
        days = KeptDays(app)
        second = days.sign(cast.DAY, at=cast.moment("21:00"))
        assert "up to entry" in pat.get(f"/day/{cast.DAY}").words
        days.keep(second, at=cast.moment("21:01"))
    page = pat.get(f"/day/{cast.DAY}")
    assert page.words.count("up to entry no.") >= 2
    assert "A log carries entries of other days too" in page.words
