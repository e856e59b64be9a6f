"""The certificate that signs a kitchen's logs: made once, locked, renewed before it ends, or the operator's own."""

import json
import stat
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from flask import Flask

from app import ledger, models
from app.server import kept_logs
from app.server.kept_logs import certificates
from tests.support import cast
from tests.support.certificates import write_p12

EVENING = cast.moment("19:00")
SetClock = Callable[[datetime | str], None]


def newest_entries(app: Flask, count: int) -> list[dict[str, object]]:
    with app.extensions["database"].reading() as session:
        return [json.loads(line) for line in list(ledger.ledger_lines(session, "S1", 0))[-count:]]


def test_it_is_made_once_and_written_down(house: Flask) -> None:
    made = kept_logs.identity_of("S1", at=EVENING)
    assert kept_logs.identity_of("S1", at=EVENING).fingerprint == made.fingerprint
    before, written = newest_entries(house, 2)
    assert before["kind"] != "certificate_set"
    assert (written["kind"], written["fingerprint"]) == ("certificate_set", made.fingerprint)


def test_each_kitchen_has_its_own(house: Flask) -> None:
    assert kept_logs.identity_of("S1", at=EVENING).fingerprint != kept_logs.identity_of("S2", at=EVENING).fingerprint


def test_it_says_whose_it_is_and_what_it_may_do(house: Flask) -> None:
    """RFC 5280, 4.2.1.3: what signs documents has digitalSignature and contentCommitment."""
    made = kept_logs.identity_of("S1", at=EVENING).certificate
    assert made.subject.rfc4514_string() == "2.5.4.5=S1,CN=Kitchen S1"
    usage = made.extensions.get_extension_for_class(x509.KeyUsage).value
    assert (usage.digital_signature, usage.content_commitment, usage.key_cert_sign) == (True, True, False)


def test_the_key_in_the_database_opens_with_the_passphrase_alone(house: Flask) -> None:
    made = kept_logs.identity_of("S1", at=EVENING)
    with house.extensions["database"].reading() as session:
        locked = session.query(models.SigningKey).one().locked
    assert b"ENCRYPTED" in locked
    with pytest.raises(ValueError):
        serialization.load_pem_private_key(locked, b"another")
    house.config["SIGNING_PASSPHRASE"] = "another"
    with pytest.raises(kept_logs.SigningRefused, match="does not open the key"):
        kept_logs.identity_of("S1", at=EVENING)
    assert kept_logs.renew("S1", at=EVENING).fingerprint != made.fingerprint


def test_the_passphrase_may_stand_in_a_file(house: Flask, tmp_path: Path) -> None:
    file = tmp_path / "passphrase"
    house.config.update(SIGNING_PASSPHRASE="", SIGNING_PASSPHRASE_FILE=str(file))
    with pytest.raises(kept_logs.SigningRefused, match="cannot be read"):
        kept_logs.identity_of("S1", at=EVENING)
    file.write_text("salt and pepper\n", "utf-8")
    made = kept_logs.identity_of("S1", at=EVENING)
    house.config.update(SIGNING_PASSPHRASE="salt and pepper")
    assert kept_logs.identity_of("S1", at=EVENING).fingerprint == made.fingerprint


def test_without_a_passphrase_one_is_made_for_the_owner_alone(
    house: Flask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(house, "instance_path", str(tmp_path / "instance"))
    house.config["SIGNING_PASSPHRASE"] = ""
    made = kept_logs.identity_of("S1", at=EVENING)
    kept = tmp_path / "instance" / "signing_passphrase"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert kept_logs.identity_of("S1", at=EVENING).fingerprint == made.fingerprint


def test_a_new_one_takes_over_sixty_days_before_the_end(house: Flask, set_clock: SetClock) -> None:
    first = kept_logs.identity_of("S1", at=EVENING)
    last = first.certificate.not_valid_after_utc - timedelta(days=60)
    set_clock(last - timedelta(seconds=1))
    assert kept_logs.identity_of("S1", at=last - timedelta(seconds=1)).fingerprint == first.fingerprint
    set_clock(last)
    second = kept_logs.identity_of("S1", at=last)
    assert second.fingerprint != first.fingerprint
    assert newest_entries(house, 1)[0]["fingerprint"] == second.fingerprint
    with house.extensions["database"].reading() as session:
        known = [certificates.fingerprint_of(one) for one in certificates.certificates_of(session, "S1")]
    assert known == [second.fingerprint, first.fingerprint]


# ---- the operator's own ---------------------------------------------------------------------------------------------


@pytest.fixture
def operators(house: Flask, tmp_path: Path) -> Path:
    """Where the operator's file is named."""
    file = tmp_path / "operator.p12"
    house.config.update(SIGNING_P12=str(file), SIGNING_P12_PASSPHRASE="thyme")
    return file


def test_the_operators_certificate_signs_and_is_written_down_once(house: Flask, operators: Path) -> None:
    certificate = write_p12(operators, until=EVENING + timedelta(days=365), passphrase=b"thyme")
    for _again in range(2):
        assert kept_logs.identity_of("S1", at=EVENING).certificate == certificate
    kinds = [entry["kind"] for entry in newest_entries(house, 2)]
    assert kinds.count("certificate_set") == 1
    with house.extensions["database"].reading() as session:
        assert session.query(models.SigningKey).all() == []


def test_an_operators_certificate_that_has_ended_signs_nothing(house: Flask, operators: Path) -> None:
    write_p12(operators, until=EVENING, passphrase=b"thyme")
    with pytest.raises(kept_logs.SigningRefused, match="has ended"):
        kept_logs.identity_of("S1", at=EVENING)


@pytest.mark.usefixtures("house")
def test_an_operators_file_that_is_gone_locked_or_no_such_file_is_named(operators: Path) -> None:
    with pytest.raises(kept_logs.SigningRefused, match="cannot be read"):
        kept_logs.identity_of("S1", at=EVENING)
    operators.write_bytes(b"no PKCS #12")
    with pytest.raises(kept_logs.SigningRefused, match="is no PKCS #12 file"):
        kept_logs.identity_of("S1", at=EVENING)
    write_p12(operators, until=EVENING + timedelta(days=1), passphrase=b"parsley")
    with pytest.raises(kept_logs.SigningRefused, match="does not open it"):
        kept_logs.identity_of("S1", at=EVENING)
    with pytest.raises(kept_logs.SigningRefused, match="put a new one in its place"):
        kept_logs.renew("S1", at=EVENING)
