"""The document of a version of the plan: drawn once, signed, kept, and given out again byte for byte."""

import io
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
from sqlalchemy import select

from app.db import Database
from app.models import KeptPlan
from app.server import get_database, jobs, kept_plans
from app.server.kept_logs.apart import run_apart
from app.server.plan_document import read_plan
from tests.support import cast, reading_pdf
from tests.support.browsing import Browser
from tests.support.plan_pages import adopt
from tests.support.terminal import Terminal

EVENING = cast.moment("19:00")


@pytest.fixture
def pat(house: Flask) -> Browser:
    return Browser(house.test_client()).sign_in("pat")


def kept(database: Database) -> kept_plans.Kept | None:
    with database.reading() as session:
        return kept_plans.find_kept(session, read_plan(session, "S1", as_of=EVENING))


def test_an_adopted_version_is_signed_and_kept_once(house: Flask, database: Database, pat: Browser) -> None:
    adopt(pat, hot_holding="140F/60C")
    assert jobs.run_due(EVENING, ("drawing",)) == 1
    found = kept(database)
    assert found is not None
    (signature,) = PdfFileReader(io.BytesIO(found.pdf)).embedded_signatures
    trusted = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False, moment=EVENING)
    status = run_apart(validate_pdf_signature, signature, trusted)
    assert (status.intact, status.valid) == (True, True)
    assert status.coverage is SignatureCoverageLevel.ENTIRE_FILE
    assert signature.sig_object["/Reason"] == "The plan as it was adopted for this kitchen"
    assert "Hot chicken is held at 140 °F (60 °C) or above." in " ".join(reading_pdf.pages(found.pdf))
    kept_plans.keep("S1", 2, at=EVENING)
    assert pat.client.get("/plan/2/plan.pdf").data == found.pdf
    assert found.sha256 in pat.get("/plan").words


def test_a_version_that_is_not_kept_yet_is_printed_without_a_signature(database: Database, pat: Browser) -> None:
    assert kept(database) is None
    assert "The PDF has no signature yet." in pat.get("/plan").words
    printed = pat.client.get("/plan/1/plan.pdf").data
    assert list(PdfFileReader(io.BytesIO(printed)).embedded_signatures) == []


def change_address(pat: Browser, address: str) -> None:
    """Move the kitchen."""
    fields = {"name": "Kitchen One", "timezone": "America/Chicago", "address": address, "permit": "R-77"}
    pat.get("/setup/site").send("/setup/site", **fields)


def test_another_address_asks_for_another_document_and_the_earlier_version_keeps_its_own(
    house: Flask, database: Database, pat: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    adopt(pat, hot_holding="140F/60C")
    jobs.run_due(cast.moment("19:06"), ("drawing",))
    set_clock("19:10")
    change_address(pat, "12 Elm Street")
    change_address(pat, "14 Elm Street")
    assert "The PDF has no signature yet." in pat.get("/plan").words
    assert jobs.run_due(cast.moment("19:12"), ("drawing",)) == 0
    jobs.run_due(cast.moment("19:16"), ("drawing",))
    printed = " ".join(reading_pdf.pages(kept_of(database, 2)))
    assert "14 Elm Street" in printed
    assert sorted(printed_versions(database)) == [(2, 0), (2, 0)]  # none of the address between
    set_clock("19:20")
    adopt(pat, hot_holding="141F/61C")
    change_address(pat, "99 New Road")
    assert pat.client.get("/plan/2/plan.pdf").data == kept_of(database, 2)
    assert "14 Elm Street" in pat.get("/plan/2").words


def kept_of(database: Database, version: int) -> bytes:
    """Give the file that was kept last of a version."""
    with database.reading() as session:
        found = kept_plans.find_kept(session, read_plan(session, "S1", as_of=cast.moment("19:30"), version=version))
    assert found is not None
    return found.pdf


def printed_versions(database: Database) -> list[tuple[int, int]]:
    """Give version and number of reassessments of each kept file."""
    with database.reading() as session:
        return [(row.version, row.looks) for row in session.scalars(select(KeptPlan).order_by(KeptPlan.made_at))]


def test_the_first_plan_of_a_new_kitchen_is_signed_like_any_other(
    make_app: Callable[..., Flask],
    empty_url: str,
    tmp_path: Path,
    set_clock: Callable[[datetime | str], None],
) -> None:
    set_clock("12:00")
    app = make_app(empty_url)
    Terminal(app, tmp_path).init()
    with app.app_context():
        jobs.run_due(EVENING, ("drawing",))
        with get_database().reading() as session:
            found = kept_plans.find_kept(session, read_plan(session, "S1", as_of=EVENING))
    assert found is not None
    assert len(PdfFileReader(io.BytesIO(found.pdf)).embedded_signatures) == 1


def test_a_reassessment_asks_for_another_document(
    house: Flask, database: Database, pat: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    pat.get("/setup/plan/reassess").send(looked_at="all of it", outcome="plan_stands", basis="nothing unforeseen")
    assert kept(database) is None
    assert jobs.run_due(EVENING, ("drawing",)) == 1
    found = kept(database)
    assert found is not None
    assert "nothing unforeseen" in " ".join(reading_pdf.pages(found.pdf))
