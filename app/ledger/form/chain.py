"""The chain: canonical bytes of an entry, its hash, and where a ledger begins."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

_ENCODER = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False, check_circular=False
)


def canonical(obj: Mapping[str, Any]) -> bytes:
    """Give the RFC 8785 form in UTF-8 of an object whose names are ASCII and whose numbers are integers.

    Every hashed object is of that kind (measured values are text), and for those Python's own encoder writes exactly
    what RFC 8785 asks for, at more than twice the speed. ValueError for NaN and for lone surrogates.
    """
    return _ENCODER.encode(obj).encode("utf-8")


def entry_hash(body: bytes) -> str:
    """Give the lower-case hexadecimal SHA-256 of an entry's canonical bytes."""
    return hashlib.sha256(body).hexdigest()


def genesis_hash(site_code: str) -> str:
    """Give the `previous_hash` of a site's first entry."""
    return entry_hash(canonical({"genesis": "roast-ledger", "site": site_code, "v": 1}))
