"""The certificate that signs a kitchen's logs: its own, made here, or the operator's PKCS #12 file.

The kitchen's own is self-signed: nobody outside vouches for it but the paper with its fingerprint that hangs in the
house. Its key is kept in the database, locked with a passphrase that is not: whoever has the database or a copy of it
cannot sign with it; whoever also reads the running server's settings can.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID
from flask import current_app
from flask_babel import gettext as _
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.models import Certificate, SigningKey, Site

from .. import get_database
from ..settings import kept_secret
from ..site_lock import changing

VALID_FOR = timedelta(days=5 * 365)
"""Common practice, no source: long enough for the paper on the wall, short enough for a change of hands."""
RENEWED_BEFORE = timedelta(days=60)
"""How long before its end a new one takes over: the paper on the wall has to be changed."""

Key = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey


class SigningRefused(Exception):
    """Why no log can be signed, in words."""


@dataclass(frozen=True, slots=True)
class Identity:
    """What signs a kitchen's logs: certificate, key, and the certificates above it that an operator's file has."""

    certificate: x509.Certificate
    key: Key
    above: Sequence[x509.Certificate] = ()

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, as it is printed on the log."""
        return fingerprint_of(self.certificate)


def fingerprint_of(certificate: x509.Certificate) -> str:
    """Give the SHA-256 of a certificate in lower-case hexadecimal."""
    return certificate.fingerprint(hashes.SHA256()).hex()


def identity_of(site: str, *, at: datetime) -> Identity:
    """Give what signs a kitchen's logs at a moment; where it has none, or it ends soon, a new one is made.

    Raises SigningRefused where the operator's file or the passphrase does not do, and Refused (site unknown).
    """
    if file := current_app.config["SIGNING_P12"]:
        return _of_operator(site, Path(file), at)
    with get_database().reading() as session:
        found = _own(session, site, at)
    return found or _make(site, at, only_if_none=True)


def renew(site: str, *, at: datetime) -> Identity:
    """Give a kitchen a new certificate of its own at once, e.g. because somebody knew the passphrase."""
    if current_app.config["SIGNING_P12"]:
        raise SigningRefused(_("The operator's file SIGNING_P12 signs here: put a new one in its place."))
    return _make(site, at, only_if_none=False)


def certificates_of(session: Session, site: str) -> Sequence[x509.Certificate]:
    """Give every certificate that signs or signed a kitchen's logs, the newest first."""
    query = select(Certificate.der).join(Site).where(Site.code == site)
    ordered = query.order_by(Certificate.added_at.desc(), Certificate.fingerprint)
    return [x509.load_der_x509_certificate(der) for der in session.scalars(ordered)]


# ---- the kitchen's own ----------------------------------------------------------------------------------------------


def _own(session: Session, site: str, at: datetime) -> Identity | None:
    query = (
        select(Certificate.der, SigningKey.locked)
        .join(Site, Site.id == Certificate.site_id)
        .join(
            SigningKey,
            (SigningKey.site_id == Certificate.site_id) & (SigningKey.fingerprint == Certificate.fingerprint),
        )
        .where(Site.code == site, Certificate.until > at + RENEWED_BEFORE)
        .order_by(Certificate.added_at.desc(), Certificate.fingerprint)
    )
    row = session.execute(query).first()
    if row is None:
        return None
    return Identity(x509.load_der_x509_certificate(row[0]), _unlock(row[1]))


def _unlock(locked: bytes) -> Key:
    try:
        key = serialization.load_pem_private_key(locked, _passphrase())
    except ValueError:
        raise SigningRefused(
            _("The passphrase does not open the key that signs logs. Set SIGNING_PASSPHRASE right, or renew the key.")
        ) from None
    if not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise SigningRefused(_("The key that signs logs is of no kind that can sign a PDF."))
    return key


def _make(site: str, at: datetime, *, only_if_none: bool) -> Identity:
    # Both read before the kitchen is held: whoever is to write down a reading does not wait for a file.
    passphrase, key = _passphrase(), ec.generate_private_key(ec.SECP256R1())
    with changing(site) as (session, row, now):
        if only_if_none and (found := _own(session, site, at)):
            return found
        made = Identity(_self_signed(row, key, now), key)
        locked = key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.BestAvailableEncryption(passphrase),
        )
        _write_down(session, row, made.certificate, now)
        session.add(SigningKey(site_id=row.id, fingerprint=made.fingerprint, locked=locked))
    return made


def _self_signed(site: Site, key: Key, at: datetime) -> x509.Certificate:
    name = x509.Name(
        [
            # RFC 5280, appendix A.1: at most 64 characters.
            x509.NameAttribute(NameOID.COMMON_NAME, site.name[:64]),
            x509.NameAttribute(NameOID.SERIAL_NUMBER, site.code),
        ]
    )
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        **dict.fromkeys(("key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign"), False),
        **dict.fromkeys(("crl_sign", "encipher_only", "decipher_only"), False),
    )
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at)
        .not_valid_after(at + VALID_FOR)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _write_down(session: Session, site: Site, certificate: x509.Certificate, at: datetime) -> None:
    fingerprint, until = fingerprint_of(certificate), certificate.not_valid_after_utc
    der = certificate.public_bytes(serialization.Encoding.DER)
    session.add(Certificate(site_id=site.id, fingerprint=fingerprint, der=der, added_at=at, until=until))
    session.flush()
    change = ledger.Change("certificate_set", {"fingerprint": fingerprint, "until": until})
    ledger.append_changes(session, site.code, [change], by=ledger.COMMAND, at=at)


def _passphrase() -> bytes:
    """Give the passphrase of the settings; else one that is made once and kept beside the secret key, mode 600."""
    given: str = current_app.config["SIGNING_PASSPHRASE"]
    file = current_app.config["SIGNING_PASSPHRASE_FILE"]
    if not given and file:
        try:
            given = Path(file).read_text("utf-8").strip()
        except (OSError, UnicodeError) as error:
            values = {"file": file, "why": str(error)}
            raise SigningRefused(
                _("%(file)s cannot be read: %(why)s. Put it back, or set SIGNING_PASSPHRASE_FILE right.", **values)
            ) from None
    return (given or kept_secret(Path(current_app.instance_path) / "signing_passphrase")).encode()


# ---- the operator's -------------------------------------------------------------------------------------------------


def _of_operator(site: str, file: Path, at: datetime) -> Identity:
    identity = _read_p12(file)
    if identity.certificate.not_valid_after_utc <= at:
        raise SigningRefused(_("The certificate in %(file)s has ended: put a new one in its place.", file=str(file)))
    with get_database().reading() as session:
        known = {fingerprint_of(one) for one in certificates_of(session, site)}
    if identity.fingerprint not in known:
        with changing(site) as (session, row, now):
            if session.get(Certificate, (row.id, identity.fingerprint)) is None:
                _write_down(session, row, identity.certificate, now)
    return identity


def _read_p12(file: Path) -> Identity:
    passphrase: str = current_app.config["SIGNING_P12_PASSPHRASE"]
    try:
        key, certificate, above = pkcs12.load_key_and_certificates(file.read_bytes(), passphrase.encode() or None)
    except OSError as error:
        values = {"file": str(file), "why": str(error.strerror)}
        raise SigningRefused(
            _("%(file)s cannot be read: %(why)s. Put it back, or set SIGNING_P12 right.", **values)
        ) from None
    except ValueError:
        raise SigningRefused(
            _("%(file)s is no PKCS #12 file, or SIGNING_P12_PASSPHRASE does not open it.", file=str(file))
        ) from None
    if certificate is None or not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise SigningRefused(_("%(file)s holds no certificate with a key that can sign a PDF.", file=str(file)))
    return Identity(certificate, key, tuple(above))


def sha256(content: bytes) -> str:
    """Give the SHA-256 of a file in lower-case hexadecimal."""
    return hashlib.sha256(content).hexdigest()
