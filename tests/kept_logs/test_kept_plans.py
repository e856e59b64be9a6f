"""The document of a version of the plan: drawn once, signed, kept, and given out again byte for byte."""

import io
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from app.db import Database
from app.server import jobs, kept_plans
from app.server.kept_logs.apart import run_apart
from app.server.plan_document import read_plan
from tests.support import cast, reading_pdf
from tests.support.browsing import Browser
from tests.support.plan_pages import adopt

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


def test_a_reassessment_asks_for_another_document(
    house: Flask, database: Database, pat: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    pat.get("/setup/plan/reassess").send(looked_at="all of it", outcome="plan_stands", basis="nothing unforeseen")
    assert kept(database) is None
    assert jobs.run_due(EVENING, ("drawing",)) == 1
    found = kept(database)
    assert found is not None
    assert "nothing unforeseen" in " ".join(reading_pdf.pages(found.pdf))
