"""Signed logs: written once for a sign-off, signed with the kitchen's certificate, kept, and checked."""

from .certificates import Identity, SigningRefused, identity_of, renew
from .keeping import ask_for_log, keep, owed, sign_day
from .kept import Kept, kept_log, kept_logs, read_pdf
from .signing import sign_pdf
from .unfinished import Unfinished, unfinished

__all__ = [
    "Identity",
    "Kept",
    "SigningRefused",
    "Unfinished",
    "ask_for_log",
    "identity_of",
    "keep",
    "kept_log",
    "kept_logs",
    "owed",
    "read_pdf",
    "renew",
    "sign_day",
    "sign_pdf",
    "unfinished",
]
