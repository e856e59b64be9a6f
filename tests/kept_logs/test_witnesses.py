"""Witnesses outside the house, and a ledger that was rewritten whole: each of them finds it by itself."""

import hashlib
import io
import json
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask
from pyhanko.pdf_utils.reader import PdfFileReader
from sqlalchemy import text

from app import ledger, models, register
from app.db import Database
from app.ledger.form import chain
from app.server import jobs, kept_logs
from app.server.kept_logs import check_logs, checking, stamping
from tests.support import cast
from tests.support.kept_days import KeptDays
from tests.support.mail_server import MailServer, mail_server
from tests.support.time_stamps import TimeStampService, time_stamp_service

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def service(house: Flask, tmp_path: Path) -> Iterator[TimeStampService]:
    """A time-stamp service that the settings name."""
    folder = tmp_path / "tsa"
    folder.mkdir()
    with time_stamp_service(folder) as service:
        house.config["TIMESTAMP_URL"] = service.url
        yield service


@pytest.fixture
def post(house: Flask) -> Iterator[MailServer]:
    """A mail server, and an address outside the kitchen that wants each signed head."""
    with mail_server() as server:
        house.config["MAIL_SERVER"] = server.url
        with house.extensions["database"].writing() as session:
            register.set_address(session, register.get_site(session, "S1"), "owner@example.com", ["heads"])
        yield server


def signed(house: Flask, set_clock: SetClock) -> bytes:
    """Write and sign the day, and do all jobs; gives the kept log."""
    days = KeptDays(house)
    days.write(cast.DAY)
    set_clock("20:00")
    seq = days.sign(cast.DAY)
    while jobs.run_due(cast.moment("20:01")):
        pass
    with house.extensions["database"].reading() as session:
        return kept_logs.read_pdf(session, "S1", seq)


def rewrite(database: Database) -> None:
    """Make one reading look better and hash everything anew: the chain and the sign-offs hold again."""
    with database.engine.begin() as connection:
        for name in connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars().all():
            connection.execute(text(f"DROP TRIGGER {name}"))
        site_id = connection.execute(text("SELECT id FROM sites WHERE code = 'S1'")).scalar_one()
        rows = connection.execute(
            text("SELECT body FROM entries WHERE site_id = :site ORDER BY seq"), {"site": site_id}
        )
        before, hashes = chain.genesis_hash("S1"), {}
        for body in [json.loads(row) for row in rows.scalars().all()]:
            if body["kind"] == "hold_reading":
                body["temperature"] = "158"
            if body["kind"] == "sign_off":
                body["covers_hash"] = hashes[body["covers_seq"]]
            body["previous_hash"] = before
            content = chain.canonical(body)
            before = hashes[body["seq"]] = chain.entry_hash(content)
            told = {
                "body": content,
                "hash": before,
                "previous": body["previous_hash"],
                "seq": body["seq"],
                "site": site_id,
            }
            connection.execute(
                text(
                    "UPDATE entries SET body = :body, hash = :hash, previous_hash = :previous "
                    "WHERE site_id = :site AND seq = :seq"
                ),
                {**told, "site": site_id},
            )


def stamped_head(house: Flask) -> tuple[int, bytes]:
    with house.extensions["database"].reading() as session:
        stamp = session.query(models.HeadStamp).one()
        return stamp.seq, stamp.token


def body_at(house: Flask, seq: int) -> bytes:
    with house.extensions["database"].reading() as session:
        return ledger.body_at(session, "S1", seq) or b""


def test_the_chain_alone_does_not_find_a_ledger_that_was_rewritten_whole(house: Flask, set_clock: SetClock) -> None:
    signed(house, set_clock)
    rewrite(house.extensions["database"])
    with house.extensions["database"].reading() as session:
        assert ledger.verify(session, "S1") is None


def test_a_kept_log_finds_it(house: Flask, set_clock: SetClock) -> None:
    pdf = signed(house, set_clock)
    rewrite(house.extensions["database"])
    log = check_logs.check_file("log.pdf", pdf)
    assert log.faults == []
    with house.extensions["database"].reading() as session:
        assert checking.differing(session, "S1", [log.head]) == [log.head[0]]
        (wrong,) = checking.check_kept(session, "S1")
    assert wrong.reason == "records"


def test_a_time_stamp_of_the_head_finds_it(
    house: Flask, set_clock: SetClock, service: TimeStampService, tmp_path: Path
) -> None:
    signed(house, set_clock)
    seq, token = stamped_head(house)
    assert service.accepts(token, body_at(house, seq), tmp_path)
    with house.extensions["database"].reading() as session:
        assert list(checking.check_kept(session, "S1")) == []
    rewrite(house.extensions["database"])
    assert not service.accepts(token, body_at(house, seq), tmp_path)
    with house.extensions["database"].reading() as session:
        assert [one.reason for one in checking.check_kept(session, "S1")] == ["records", "stamp"]


def test_a_mail_finds_it(house: Flask, set_clock: SetClock, post: MailServer) -> None:
    signed(house, set_clock)
    (mail,) = post.messages
    body = mail.get_body()
    assert body is not None
    told = dict(line.split(": ") for line in body.get_content().splitlines() if line.count(": ") == 1)
    seq = int(told["Signed up to entry no."])
    (attached,) = mail.iter_attachments()
    assert hashlib.sha256(attached.get_content()).hexdigest() == told["Record fingerprint"]
    assert hashlib.sha256(body_at(house, seq)).hexdigest() == told["Record fingerprint"]
    rewrite(house.extensions["database"])
    assert hashlib.sha256(body_at(house, seq)).hexdigest() != told["Record fingerprint"]


# ---- the services ---------------------------------------------------------------------------------------------------


def test_with_a_service_the_signature_carries_its_time(
    house: Flask, set_clock: SetClock, service: TimeStampService
) -> None:
    """ETSI EN 319 142-1, B-T: a signature time stamp over the signature's value."""
    pdf = signed(house, set_clock)
    log = check_logs.check_file("log.pdf", pdf)
    assert log.faults == []
    assert log.stamped_at is not None
    (signature,) = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    kinds = [attribute["type"].native for attribute in signature.signer_info["unsigned_attrs"]]
    assert kinds == ["signature_time_stamp_token"]


def test_a_service_that_answers_nonsense_does_not_keep_a_day_from_its_log(
    house: Flask, set_clock: SetClock, service: TimeStampService
) -> None:
    service.is_ill = True
    log = check_logs.check_file("log.pdf", signed(house, set_clock))
    assert (log.faults, log.stamped_at) == ([], None)
    service.is_ill = False
    jobs.run_due(cast.moment("20:30"))
    assert stamped_head(house)[0] == log.head[0]


def test_a_service_that_is_gone_is_asked_again(house: Flask, set_clock: SetClock) -> None:
    house.config["TIMESTAMP_URL"] = "http://127.0.0.1:9/"
    assert check_logs.check_file("log.pdf", signed(house, set_clock)).faults == []
    with house.extensions["database"].reading() as session:
        (waiting,) = session.query(models.Job).filter(models.Job.done_at.is_(None))
        assert (waiting.kind, waiting.tries) == ("stamp_head", 1)


def test_a_token_that_was_changed_stamps_nothing(house: Flask, set_clock: SetClock, service: TimeStampService) -> None:
    signed(house, set_clock)
    seq, token = stamped_head(house)
    own = hashlib.sha256(body_at(house, seq)).digest()
    assert stamping.imprint_of(token) == own
    place = token.index(own)
    changed = token[:place] + bytes([token[place] ^ 1]) + token[place + 1 :]
    assert stamping.imprint_of(changed) is None
    assert stamping.imprint_of(b"nonsense") is None


def test_nobody_is_mailed_who_did_not_ask(house: Flask, set_clock: SetClock, post: MailServer) -> None:
    with house.extensions["database"].writing() as session:
        register.set_address(session, register.get_site(session, "S1"), "owner@example.com", ["logs"])
    signed(house, set_clock)
    assert [mail for mail in post.messages if "Record fingerprint" in str(mail)] == []
