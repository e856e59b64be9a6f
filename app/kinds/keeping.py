"""What the program writes down of its kept logs: the file of each, and the certificate that signed it."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from .fields import LINE, Count, Day, Instant
from .register import RegisterEntry


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CertificateSet(RegisterEntry):
    """From now on the kitchen's logs are signed with this certificate."""

    KIND = "certificate_set"
    fingerprint: Annotated[str, LINE]
    """SHA-256 of the certificate's DER form, 64 lower-case hexadecimal digits."""
    until: Annotated[datetime, Instant()]
    """When the certificate ends."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogKept(RegisterEntry):
    """The signed log of a day was written once and is kept: nobody can change its file without this being wrong."""

    KIND = "log_kept"
    day: Annotated[date, Day()]
    signed_seq: Annotated[int, Count(1, 2**53)]
    """The sign-off that the log prints."""
    covers_seq: Annotated[int, Count(0, 2**53)]
    """The head that was signed."""
    sha256: Annotated[str, LINE]
    """Of the whole file, padding and signature included; 64 lower-case hexadecimal digits."""
    certificate: Annotated[str, LINE]
    """Fingerprint of the certificate that signed the file."""
