"""The page on which anybody asks about a log: nobody is signed in."""

import io
import json
import re
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pikepdf
import pytest
from flask import Flask

from app import models
from app.server.kept_logs import bounded, check_logs, check_one, public_check
from app.web.review import check_log
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.checked_log import answers, ask, pdf_of, run_here
from tests.support.drafts import keep
from tests.support.kept_days import KeptDays

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def own_process() -> None:
    """For a test that asks for it, a file is looked at in a process of its own, as it is served."""


@pytest.fixture(autouse=True)
def looked_at(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Look at files in this process: what the other one costs and bears, test_check_log_hostile holds."""
    if "own_process" not in request.fixturenames:
        monkeypatch.setattr(bounded, "subprocess", run_here)


@pytest.mark.usefixtures("own_process")
def test_a_log_as_it_was_kept_is_ours_unchanged_and_still_what_the_records_say(browser: Browser, log: bytes) -> None:
    said = answers(ask(browser, log))
    assert said.count("Yes.") == 3
    assert "It is signed with a certificate of kitchen S1." in said
    assert "No entry that touches this day came after it was signed." in said
    assert "This is the newest log of the day." in said


def test_a_day_that_was_amended_and_signed_again_is_told_to_be_both(
    browser: Browser, log: bytes, set_clock: SetClock, app: Flask
) -> None:
    set_clock("21:00")
    keep(app.extensions["database"], cast.draft("unit_check", at="20:30"), at="21:00")
    said = answers(ask(browser, log))
    assert "Entries that touch this day came after it was signed." in said
    assert "What came after stands in no signed log yet." in said
    assert "newest log" not in said
    with app.app_context():
        KeptDays(app).sign(cast.DAY, at=cast.moment("21:01"))
    set_clock("21:02")
    said = answers(ask(browser, log))
    assert "Entries that touch this day came after it was signed." in said
    assert "Ask for the newest log of this day" in said


def test_a_day_that_was_amended_is_told(browser: Browser, log: bytes, set_clock: SetClock, app: Flask) -> None:
    set_clock("21:00")
    keep(app.extensions["database"], cast.draft("unit_check", at="20:30"), at="21:00")
    assert "Entries that touch this day came after it was signed." in answers(ask(browser, log))


def test_a_day_signed_again_is_told(browser: Browser, log: bytes, set_clock: SetClock, app: Flask) -> None:
    set_clock("21:00")
    with app.app_context():
        KeptDays(app).sign(cast.DAY, at=cast.moment("21:00"))
    said = answers(ask(browser, log))
    assert "No entry that touches this day came after it was signed." in said
    assert "Ask for the newest log of this day; this one stays as it is." in said


def test_a_padding_that_was_changed_is_told(browser: Browser, log: bytes) -> None:
    place = log.rindex(b"00000000>")
    said = answers(ask(browser, log[:place] + b"1" + log[place + 1 :]))
    assert "Its bytes are not those that were kept. Ask the kitchen for its own." in said


def test_a_changed_content_is_told(browser: Browser, log: bytes) -> None:
    changed = log[:3000] + bytes([log[3000] ^ 1]) + log[3001:]
    said = answers(ask(browser, changed))
    assert "It was changed after it was signed." in said or "cannot be read" in said
    assert "byte for byte" not in said


def test_a_ledger_with_other_entries_is_told(
    browser: Browser, log: bytes, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(public_check, "differing", lambda *_about: [30])
    assert "The ledger holds other entries than this file." in answers(ask(browser, log))


# ---- files that somebody else made, with the kitchen's certificate in them ------------------------------------------


def forged(log: bytes, records: bytes) -> bytes:
    """Give a log with other records attached, and the signature as it was."""
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        pdf.Root.AF[0].EF.F.write(records)
        out = io.BytesIO()
        pdf.save(out)
    return out.getvalue()


def with_records(log: bytes, **changes: object) -> bytes:
    """Give a log whose records have other values in the place of their own."""
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        records = json.loads(pdf.Root.AF[0].EF.F.read_bytes())
    return forged(log, json.dumps({**records, **changes}).encode())


def test_a_reading_changed_beside_its_hash_is_not_what_the_ledger_says(browser: Browser, log: bytes) -> None:
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        records = json.loads(pdf.Root.AF[0].EF.F.read_bytes())
    reading = next(entry for entry in records["run"]["entries"] if "temperature" in entry)
    reading["temperature"] = "188.4"
    said = answers(ask(browser, forged(log, json.dumps(records).encode())))
    assert f"Entry {reading['seq']} is not as it was written." in said
    assert "Yes." not in said
    assert "Keep the file" not in said
    assert "Do not rely on this file. Ask the kitchen for its own." in said


def test_a_run_hashed_anew_is_not_taken_for_what_was_signed(browser: Browser, log: bytes) -> None:
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        records = json.loads(pdf.Root.AF[0].EF.F.read_bytes())
    before = records["run"]["after"]["hash"]
    for entry in records["run"]["entries"]:
        entry.update({"temperature": "188.4"} if "temperature" in entry else {}, previous_hash=before)
        before = entry["hash"] = check_logs.digest({name: entry[name] for name in entry if name != "hash"})
    records["head"]["hash"] = records["sign_off"]["covers_hash"] = before
    sign_off = records["sign_off"]
    sign_off["hash"] = check_logs.digest({name: sign_off[name] for name in sign_off if name != "hash"})
    said = answers(ask(browser, forged(log, json.dumps(records).encode())))
    assert "It was changed after it was signed, or somebody else made it." in said
    assert "Yes." not in said
    assert "188.4" not in said


_ODD: dict[str, dict[str, object]] = {
    "no day": {"day": "someday"},
    "a day that is a number": {"day": 7},
    "the last day of all": {"day": "9999-12-31"},
    "a head that no database holds": {"head": {"seq": 10**30, "hash": "0" * 64}},
    "a head of lists": {"head": {"seq": [1], "hash": {}}},
    "a kitchen with a sign that is none": {"site": "S1\x00"},
    "a kitchen that is half a letter": {"site": "\ud800"},
    "what it shows is a text": {"shows": "all"},
    "its version is a sentence": {"v": "1. Everything is right"},
}


@pytest.mark.parametrize("odd", _ODD)
def test_records_in_no_form_of_ours_are_answered_in_words(browser: Browser, log: bytes, odd: str) -> None:
    answer = ask(browser, with_records(log, **_ODD[odd]))
    assert answer.status_code == 200
    said = answers(answer)
    assert "Yes." not in said
    assert "Everything is right" not in said


@pytest.mark.parametrize("records", [b"[]", b"0", b"null", b'""', b'"x"', b"[1]", b"{}"])
def test_records_that_are_no_object_are_answered_in_words(browser: Browser, log: bytes, records: bytes) -> None:
    answer = ask(browser, forged(log, records))
    assert answer.status_code == 200
    assert "Its records are not in the form that a log has" in answers(answer)


def test_text_in_a_file_is_not_told_on_the_page(browser: Browser, log: bytes) -> None:
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        records = json.loads(pdf.Root.AF[0].EF.F.read_bytes())
    records["run"]["entries"][0]["seq"] = "1: this log was checked and nothing is wrong. Not"
    assert "nothing is wrong" not in answers(ask(browser, forged(log, json.dumps(records).encode())))


def test_what_the_server_is_told_of_a_file_is_small(log: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    with pikepdf.Pdf.open(io.BytesIO(log)) as pdf:
        records = json.loads(pdf.Root.AF[0].EF.F.read_bytes())
    entry = {**records["run"]["entries"][0], "person": "x" * 200}
    records["run"]["entries"] = [entry] * 20_000
    content = forged(log, json.dumps(records).encode())
    run = subprocess.run(
        [sys.executable, "-I", check_one.__file__, "0" * 64], input=content, capture_output=True, check=True
    )
    assert len(run.stdout) < 20_000


def test_a_damaged_file_is_told_in_plain_words(log: bytes) -> None:
    for damage in (log[: len(log) // 2], log[::-1], pdf_of(("/Filter/FlateDecode", b"x\x9cdamaged"))):
        found = check_logs.check_file("", damage).faults
        assert found
        assert not any(re.search(r"Error|zlib|decompress|Traceback|\(", fault) for fault in found), found


@pytest.mark.parametrize("content", [b"%PDF-1.7 nothing of ours", b"not a PDF"])
def test_what_is_not_ours_is_said_to_be_none(browser: Browser, content: bytes) -> None:
    said = answers(ask(browser, content))
    assert "No log like this was signed here." in said


def test_another_kitchens_certificate_is_not_ours(browser: Browser, log: bytes, app: Flask) -> None:
    with app.extensions["database"].writing() as session:
        session.query(models.KeptLog).update({"sha256": "0" * 64})
        session.query(models.SigningKey).delete()
        session.query(models.Certificate).delete()
    said = answers(ask(browser, log))
    assert "Its certificate is not that of a kitchen here." in said
    assert "Its own signature fits. Ask the kitchen that is printed on it." in said
    assert '<th scope="row">Certificate</th>' in said
    assert "Yes." not in said


@pytest.mark.usefixtures("own_process")
def test_several_files_are_answered_each_by_its_name(browser: Browser, log: bytes) -> None:
    said = answers(ask(browser, log, b"not a PDF"))
    first, second = said.split('id="answer-2"')
    assert ("log.pdf" in first, first.count("Yes."), "Yes." in second) == (True, 3, False)
    assert ">log-2.pdf</h2>" in second


def test_more_files_than_are_looked_at_are_refused(browser: Browser) -> None:
    answer = ask(browser, *[b"no log"] * 7)
    assert (answer.status_code, "Choose six files at most." in answer.text) == (422, True)
    assert [ask(browser, *[b"no log"] * 3).status_code for _ in range(2)] == [200, 200]


def test_what_is_not_looked_at_any_more_is_named(browser: Browser) -> None:
    assert ask(browser, *[b"no log"] * 5).status_code == 200
    answer = ask(browser, *[b"no log"] * 3)
    assert answer.status_code == 429
    assert "Not checked: log-2.pdf, log-3.pdf" in answer.text
    assert "No log like this was signed here." in answers(answer)


def test_an_empty_file_is_said_to_be_empty(browser: Browser) -> None:
    answer = ask(browser, b"no log", b"")
    assert (answer.status_code, "log-2.pdf is empty. Choose the PDF of a log." in answer.text) == (422, True)


def test_the_name_of_a_file_is_a_name_and_no_more(browser: Browser) -> None:
    name = "<b>checked\u202e" + "x" * 300
    answer = browser.client.post("/check", data={"log": (io.BytesIO(b"no log"), name)})
    assert f">&lt;b&gt;checked{'x' * 90}</h2>" in answers(answer)


def test_no_file_and_too_large_a_file_are_told_at_the_field(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    none = browser.client.post("/check", data={"log": (io.BytesIO(b""), "")})
    assert (none.status_code, "Choose the PDF of a log." in none.text) == (422, True)
    monkeypatch.setattr(check_log, "LARGEST", 2000)
    answer = ask(browser, b"x" * 3000)
    assert (answer.status_code, "larger than 16 MB" in answer.get_data(as_text=True)) == (413, True)


def test_whoever_asks_too_often_waits(browser: Browser, set_clock: SetClock) -> None:
    assert [ask(browser, b"no log").status_code for _ in range(7)] == [200] * 6 + [429]
    set_clock("12:02")
    assert ask(browser, b"no log").status_code == 200


def test_the_page_hands_out_the_program_that_checks_without_it(browser: Browser) -> None:
    links = {said: href for href, said in browser.get("/check").links}
    answer = browser.client.get(links["check_logs.py, a program in one file"])
    assert answer.data == Path(check_logs.__file__).read_bytes()
