"""Certificates that tests give to an operator, and what makes cryptography know the real clock's types."""

from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID

OPENED = datetime(2026, 1, 1, tzinfo=UTC)


def self_signed(key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey, until: datetime) -> x509.Certificate:
    """Give a certificate of an invented firm, valid since the beginning of 2026."""
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Roasters Ltd")])
    about = x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
    dated = about.serial_number(7).not_valid_before(OPENED).not_valid_after(until)
    return dated.sign(key, hashes.SHA256())


def write_p12(file: Path, *, until: datetime, passphrase: bytes) -> x509.Certificate:
    """Write an operator's PKCS #12 file; give the certificate in it."""
    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    certificate = self_signed(key, until)
    locked = serialization.BestAvailableEncryption(passphrase)
    file.write_bytes(pkcs12.serialize_key_and_certificates(b"logs", key, certificate, None, locked))
    return certificate


def know_the_real_clock() -> None:
    """Make a certificate before any clock is stopped: cryptography learns at first what a moment is."""
    assert self_signed(ec.generate_private_key(ec.SECP256R1()), datetime(2027, 1, 1, tzinfo=UTC)).not_valid_after_utc
