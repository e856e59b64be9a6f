"""TLS in the kitchen's own network: an authority of its own, and the server's certificate that it vouches for.

No public authority vouches for a name that is known in one house only. The tablets are told once to believe this one;
it vouches for the named hosts and for nothing else, so that its key opens nothing more to whoever steals it.
"""

import ipaddress
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.register import Refused

AUTHORITY_LASTS = timedelta(days=3650)
SERVER_LASTS = timedelta(days=820)
"""Below 825 days: what Apple's devices take at most from an authority that was installed by hand (from memory)."""

_BACK = timedelta(days=1)
"""Clocks of tablets are off; a certificate of tomorrow would shut them out."""
_NAME = re.compile(r"(?=.{1,253}$)([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*")


@dataclass(frozen=True, slots=True)
class TlsFiles:
    """Where the certificates and keys of a folder are."""

    folder: Path

    @property
    def authority(self) -> Path:
        """The certificate that tablets are told to believe."""
        return self.folder / "authority.crt"

    @property
    def authority_key(self) -> Path:
        """Its key, which the server does not need."""
        return self.folder / "authority.key"

    @property
    def server(self) -> Path:
        """The server's own certificate."""
        return self.folder / "server.crt"

    @property
    def server_key(self) -> Path:
        """Its key."""
        return self.folder / "server.key"

    def are_there(self) -> bool:
        """Whether the server can use them."""
        return self.server.exists() and self.server_key.exists()


def make_certificate(folder: Path, hosts: Sequence[str], *, at: datetime) -> bool:
    """Make the server's certificate for these hosts, and the authority where there is none for exactly them.

    True where the authority is new, so that the tablets have to be told. Raises Refused (host missing, type).
    """
    names, files = [_checked(host) for host in hosts], TlsFiles(folder)
    if not names:
        raise Refused("host", "missing")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    is_new = not _vouches_for(files, names, at)
    if is_new:
        _make_authority(files, names, at)
    authority = x509.load_pem_x509_certificate(files.authority.read_bytes())
    key = _read_key(files.authority_key)
    own = ec.generate_private_key(ec.SECP256R1())
    about = _about(_common_name(hosts[0]), authority.subject, own, at=at, lasts=SERVER_LASTS)
    server = (
        about.add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(files.server_key, _pem(own))
    _write(files.server, server.public_bytes(serialization.Encoding.PEM))
    return is_new


def _make_authority(files: TlsFiles, names: Sequence[x509.GeneralName], at: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _common_name("Roast Ledger, this kitchen's own network")
    about = _about(subject, subject, key, at=at, lasts=AUTHORITY_LASTS)
    usage = x509.KeyUsage(
        **dict.fromkeys(("digital_signature", "content_commitment", "key_encipherment", "data_encipherment"), False),
        **dict.fromkeys(("key_agreement", "encipher_only", "decipher_only"), False),
        **dict.fromkeys(("key_cert_sign", "crl_sign"), True),
    )
    only = x509.NameConstraints(permitted_subtrees=[_subtree(name) for name in names], excluded_subtrees=None)
    authority = (
        about.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(only, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(files.authority_key, _pem(key))
    _write(files.authority, authority.public_bytes(serialization.Encoding.PEM))


def _about(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, *, at: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    named = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key.public_key())
    numbered = named.serial_number(x509.random_serial_number())
    return numbered.not_valid_before(at - _BACK).not_valid_after(at - _BACK + lasts)


def _vouches_for(files: TlsFiles, names: Sequence[x509.GeneralName], at: datetime) -> bool:
    """Whether the authority that is there vouches for exactly these hosts, for as long as a new certificate lasts."""
    if not (files.authority.exists() and files.authority_key.exists()):
        return False
    authority = x509.load_pem_x509_certificate(files.authority.read_bytes())
    only = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    is_long_enough = authority.not_valid_after_utc >= at + SERVER_LASTS
    return is_long_enough and set(only) == {_subtree(name) for name in names}


def _checked(host: str) -> x509.GeneralName:
    """Give a host as it stands in a certificate: an address, or a name in lower case. Raises Refused (host type)."""
    text = host.strip().lower()
    try:
        return x509.IPAddress(ipaddress.ip_address(text))
    except ValueError:
        pass
    if not _NAME.fullmatch(text):
        raise Refused("host", "type", value=host, expected="kitchen.lan or 192.168.1.20")
    return x509.DNSName(text)


def _subtree(name: x509.GeneralName) -> x509.GeneralName:
    """Give what an authority may vouch for that vouches for this host alone."""
    return x509.IPAddress(ipaddress.ip_network(name.value)) if isinstance(name, x509.IPAddress) else name


def _common_name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _read_key(path: Path) -> ec.EllipticCurvePrivateKey:
    key = serialization.load_pem_private_key(path.read_bytes(), None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise Refused("host", "differs")
    return key


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    form = serialization.PrivateFormat.PKCS8
    return key.private_bytes(serialization.Encoding.PEM, form, serialization.NoEncryption())


def _write(path: Path, text: bytes) -> None:
    """Put a whole file in place, readable by its owner only."""
    draft = path.with_name(f"{path.name}.new")
    draft.unlink(missing_ok=True)
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(text)
    draft.replace(path)
