"""Signed logs: written once for a sign-off, signed with the kitchen's certificate, kept, and checked."""

from .certificates import Identity, SigningRefused, identity_of, renew
from .kept import Kept, kept_log, kept_logs, read_pdf
from .signing import sign_pdf

__all__ = [
    "Identity",
    "Kept",
    "SigningRefused",
    "identity_of",
    "kept_log",
    "kept_logs",
    "read_pdf",
    "renew",
    "sign_pdf",
]
