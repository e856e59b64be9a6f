"""The log of a signed day: made once from what was signed, kept, and joined end to end with those before it."""

import hashlib
import io
import json
import subprocess
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from threading import Barrier, Thread
from typing import Any

import pytest
import zxingcpp
from flask import Flask
from PIL import Image
from pypdf import PdfReader

from app import ledger, models
from app.server import day_log, jobs, kept_logs
from app.server.kept_logs import keeping
from tests.support import cast, drafts, reading_pdf
from tests.support.kept_days import KeptDays

SetClock = Callable[[datetime | str], None]
NEXT = cast.DAY + timedelta(days=1)


@pytest.fixture
def days(house: Flask) -> KeptDays:
    """Kitchen S1 with one ordinary day written."""
    days = KeptDays(house)
    days.write(cast.DAY)
    return days


def records(pdf: bytes) -> dict[str, Any]:
    content: dict[str, Any] = json.loads(PdfReader(io.BytesIO(pdf)).attachments["records.json"][0])
    return content


def signed_at(days: KeptDays, set_clock: SetClock, at: datetime) -> bytes:
    set_clock(at)
    return days.keep(days.sign(cast.DAY if at < cast.moment("04:00", day=NEXT) else NEXT, at=at), at=at)


@pytest.fixture
def two_days(days: KeptDays, set_clock: SetClock) -> tuple[bytes, bytes]:
    """The kept logs of two days that follow each other."""
    first = signed_at(days, set_clock, cast.moment("20:00"))
    set_clock(cast.moment("19:00", day=NEXT))
    days.write(NEXT)
    return first, signed_at(days, set_clock, cast.moment("20:00", day=NEXT))


def test_the_first_run_begins_with_the_chain_and_ends_with_the_signed_head(days: KeptDays, set_clock: SetClock) -> None:
    content = records(signed_at(days, set_clock, cast.moment("20:00")))
    seqs = [entry["seq"] for entry in content["run"]["entries"]]
    assert content["run"]["after"]["seq"] == 0
    assert seqs == list(range(1, content["head"]["seq"] + 1))
    assert content["run"]["entries"][-1]["hash"] == content["head"]["hash"]
    assert content["sign_off"]["covers_hash"] == content["head"]["hash"]
    assert content["earlier"] == []


def test_consecutive_logs_join_end_to_end(two_days: tuple[bytes, bytes]) -> None:
    first, second = map(records, two_days)
    assert second["run"]["after"] == first["head"]
    entries = [*first["run"]["entries"], *second["run"]["entries"]]
    assert [entry["seq"] for entry in entries] == list(range(1, second["head"]["seq"] + 1))
    assert all(later["previous_hash"] == earlier["hash"] for earlier, later in pairwise(entries))


def test_what_an_earlier_log_proved_is_attached_apart_with_its_head(two_days: tuple[bytes, bytes]) -> None:
    first, second = map(records, two_days)
    (earlier,) = second["earlier"]
    assert earlier["proved_by"] == first["head"]
    assert {entry["kind"] for entry in earlier["entries"]} == {"site_set", "plan_adopted", "equipment_set"}
    attached = {entry["seq"] for entry in (*second["run"]["entries"], *earlier["entries"], second["sign_off"])}
    assert set(second["shows"]) <= attached


def test_the_signed_head_is_printed_on_every_page_and_the_certificate_once(days: KeptDays, set_clock: SetClock) -> None:
    pdf = signed_at(days, set_clock, cast.moment("20:00"))
    head = records(pdf)["head"]
    pages = reading_pdf.pages(pdf)
    assert all(f"no. {head['seq']} {head['hash']}" in page for page in pages)
    own = kept_logs.identity_of("S1", at=cast.moment("20:00")).fingerprint
    assert own in "".join(pages[-1].split())
    assert "nobody vouches" not in "".join(pages)


def test_the_code_on_the_log_says_the_signed_head(days: KeptDays, set_clock: SetClock) -> None:
    pdf = signed_at(days, set_clock, cast.moment("20:00"))
    last = str(len(PdfReader(io.BytesIO(pdf)).pages))
    drawn = subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-f", last, "-"], input=pdf, capture_output=True, check=True
    ).stdout
    head = records(pdf)["head"]
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(drawn)))
    assert found.text == f"S1 2026-04-14 {head['seq']} {head['hash'].upper()}"


def test_printing_a_signed_day_twice_gives_the_same_file_whatever_was_written_meanwhile(
    days: KeptDays, set_clock: SetClock
) -> None:
    pdf = signed_at(days, set_clock, cast.moment("20:00"))
    set_clock(cast.moment("09:00", day=NEXT))
    drafts.keep(
        days.app.extensions["database"],
        cast.draft("note", at=cast.moment("09:00", day=NEXT)),
        at=cast.moment("09:00", day=NEXT),
    )
    again = day_log.give_log("S1", cast.DAY, as_of=cast.moment("10:00", day=NEXT))
    assert again == pdf


def test_its_hash_is_in_the_ledger(days: KeptDays, set_clock: SetClock) -> None:
    pdf = signed_at(days, set_clock, cast.moment("20:00"))
    with days.app.extensions["database"].reading() as session:
        *_before, line = ledger.ledger_lines(session, "S1", 0)
        (kept,) = kept_logs.kept_logs(session, "S1", cast.DAY)
        assert ledger.verify(session, "S1") is None
    entry = json.loads(line)
    assert (entry["kind"], entry["sha256"]) == ("log_kept", hashlib.sha256(pdf).hexdigest())
    assert (entry["signed_seq"], entry["seq"]) == (kept.signed_seq, kept.kept_seq)


def test_keeping_its_log_does_not_change_a_signed_day(days: KeptDays, set_clock: SetClock) -> None:
    signed_at(days, set_clock, cast.moment("20:00"))
    with days.app.extensions["database"].reading() as session:
        signed = ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("21:00")).signed
        assert day_log.holding_sign_off(session, "S1", NEXT, as_of=cast.moment("21:00")) is None
    assert signed is not None
    assert not signed.stale


def test_a_day_not_signed_says_that_nobody_vouches_for_it(days: KeptDays) -> None:
    pdf = day_log.give_log("S1", cast.DAY, as_of=cast.moment("19:30"))
    text = " ".join(reading_pdf.pages(pdf))
    assert text.count("This print is not signed: nobody vouches for it.") == 2
    assert records(pdf)["signed"] is False
    assert "sign_off" not in records(pdf)


def test_a_day_changed_since_is_printed_as_nobody_signed_it_and_keeps_its_log(
    days: KeptDays, set_clock: SetClock
) -> None:
    signed_at(days, set_clock, cast.moment("20:00"))
    set_clock("21:00")
    drafts.keep(days.app.extensions["database"], cast.draft("unit_check", at="20:30"), at="21:00")
    pdf = day_log.give_log("S1", cast.DAY, as_of=cast.moment("21:00"))
    assert "nobody vouches" in " ".join(reading_pdf.pages(pdf))
    with days.app.extensions["database"].reading() as session:
        assert len(kept_logs.kept_logs(session, "S1", cast.DAY)) == 1


def test_a_day_signed_again_keeps_both_logs(days: KeptDays, set_clock: SetClock) -> None:
    first = signed_at(days, set_clock, cast.moment("20:00"))
    set_clock("21:00")
    drafts.keep(days.app.extensions["database"], cast.draft("unit_check", at="20:30"), at="21:00")
    second = signed_at(days, set_clock, cast.moment("21:10"))
    with days.app.extensions["database"].reading() as session:
        newest, oldest = kept_logs.kept_logs(session, "S1", cast.DAY)
        files = [kept_logs.read_pdf(session, "S1", one.signed_seq) for one in (oldest, newest)]
    assert files == [first, second]
    assert records(second)["run"]["after"] == records(first)["head"]


def test_a_log_that_is_made_after_a_later_one_is_proved_by_that(days: KeptDays, set_clock: SetClock) -> None:
    set_clock("20:00")
    early = days.sign(cast.DAY)
    set_clock(cast.moment("19:00", day=NEXT))
    days.write(NEXT)
    later = records(signed_at(days, set_clock, cast.moment("20:00", day=NEXT)))
    content = records(days.keep(early, at=cast.moment("20:10", day=NEXT)))
    assert later["run"]["after"]["seq"] == 0
    assert [one["proved_by"] for one in content["earlier"]] == [later["head"]]
    assert content["run"] == {"after": content["head"], "entries": []}


def test_a_log_without_a_run_proves_nothing_for_the_next_one(days: KeptDays, set_clock: SetClock) -> None:
    set_clock("20:00")
    earliest, early = days.sign(cast.DAY), days.sign(cast.DAY)
    later = records(days.keep(days.sign(cast.DAY), at=cast.moment("20:10")))
    without_run = records(days.keep(earliest, at=cast.moment("20:20")))
    content = records(days.keep(early, at=cast.moment("20:30")))
    assert without_run["run"]["entries"] == []
    assert [one["proved_by"] for one in content["earlier"]] == [later["head"]]


def test_signing_asks_for_the_log_and_a_job_makes_it(days: KeptDays, set_clock: SetClock) -> None:
    set_clock("20:00")
    days.sign(cast.DAY)
    with days.app.extensions["database"].reading() as session:
        assert kept_logs.kept_log(session, "S1", cast.DAY) is None
    assert jobs.run_due(cast.moment("20:01")) == 1
    with days.app.extensions["database"].reading() as session:
        assert kept_logs.kept_log(session, "S1", cast.DAY) is not None
        assert kept_logs.owed(session, "S1") == []


def test_a_log_that_cannot_be_signed_is_tried_again(days: KeptDays, set_clock: SetClock) -> None:
    days.app.config["SIGNING_P12"] = "/no/such/file.p12"
    set_clock("20:00")
    days.sign(cast.DAY)
    jobs.run_due(cast.moment("20:01"))
    days.app.config["SIGNING_P12"] = ""
    assert jobs.run_due(cast.moment("20:30")) == 1
    with days.app.extensions["database"].reading() as session:
        assert kept_logs.kept_log(session, "S1", cast.DAY) is not None


def test_two_that_make_the_same_log_keep_one(days: KeptDays, set_clock: SetClock) -> None:
    set_clock("20:00")
    seq, both = days.sign(cast.DAY), Barrier(2)
    kept_logs.identity_of("S1", at=cast.moment("20:00"))

    def keep() -> None:
        with days.app.app_context():
            both.wait()
            kept_logs.keep("S1", seq, at=cast.moment("20:01"))

    threads = [Thread(target=keep) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with days.app.extensions["database"].reading() as session:
        assert session.query(models.KeptLog).count() == 1
        kinds = [json.loads(line)["kind"] for line in ledger.ledger_lines(session, "S1", 0)]
    assert kinds.count("log_kept") == 1


def test_a_log_drawn_while_another_is_kept_is_drawn_anew(
    days: KeptDays, set_clock: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_clock("20:00")
    seq, real = days.sign(cast.DAY), keeping.sign_as
    others: list[int] = []

    def meanwhile(identity: kept_logs.Identity, pdf: bytes) -> bytes:
        if not others:
            others.append(days.sign(cast.DAY))
            kept_logs.keep("S1", others[0], at=cast.moment("20:00"))
        return real(identity, pdf)

    monkeypatch.setattr(keeping, "sign_as", meanwhile)
    content = records(days.keep(seq, at=cast.moment("20:00")))
    with days.app.extensions["database"].reading() as session:
        other = records(kept_logs.read_pdf(session, "S1", others[0]))
    assert other["run"]["after"]["seq"] == 0
    assert content["run"]["entries"] == []
    assert [one["proved_by"] for one in content["earlier"]] == [other["head"]]


def test_what_is_no_sign_off_has_no_log(days: KeptDays) -> None:
    with pytest.raises(LookupError, match="no sign-off"):
        kept_logs.keep("S1", 1, at=cast.moment("20:00"))
