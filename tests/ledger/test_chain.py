"""The hash: canonical bytes as RFC 8785 has them, and the check vector of the design."""

import json
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from app.ledger.form import chain
from tests.support import cast
from tests.support.ledger_kitchen import Kitchen, tray_filled

GENESIS = "ae6ca632fa015f0e31437a9579098341117ef4259bdea855417dbef6ec31cd22"
VECTOR = (
    '{"id":"00000000-0000-4000-8000-000000000001","kind":"hold_reading","late":false,'
    '"observed_at":"2026-05-01T17:00:00.000Z","person":"cook",'
    f'"previous_hash":"{GENESIS}","probe":"p-a",'
    '"recorded_at":"2026-05-01T17:00:02.417Z","seq":1,"site":"S1","temperature":"164.9","tray":"T-1","unit":"F",'
    '"v":1,"via":"token:1"}'
)
HASH = "f51eab33595e213eb00677066b7c2149eee81495aa7ad7275187cfa9bbee0fbd"

_names = st.from_regex(r"[a-z_]{1,12}", fullmatch=True)
_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_names, inner, max_size=4),
    max_leaves=20,
)


def test_a_chain_begins_with_the_hash_of_its_sites_code() -> None:
    assert chain.genesis_hash("S1") == GENESIS


def test_the_check_vector_has_its_hash() -> None:
    body = chain.canonical(dict(reversed(json.loads(VECTOR).items())))
    assert body == VECTOR.encode()
    assert chain.entry_hash(body) == HASH


@given(st.dictionaries(_names, _values, max_size=8))
def test_canonical_bytes_are_those_of_rfc_8785(value: dict[str, Any]) -> None:
    assert chain.canonical(value) == rfc8785.dumps(value)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "\ud800"], ids=["nan", "infinity", "lone surrogate"])
def test_what_has_no_canonical_form_is_refused(value: Any) -> None:
    with pytest.raises(ValueError):
        chain.canonical({"value": value})


def test_each_entry_is_bound_to_the_one_before(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), cast.draft("note", at="12:00", text="Käse «heiß» 🐔"))
    previous = GENESIS
    for line in kitchen.whole_ledger().splitlines():
        entry = json.loads(line)
        own = entry.pop("hash")
        assert entry["previous_hash"] == previous
        assert chain.entry_hash(rfc8785.dumps(entry)) == own
        previous = own


def test_an_entry_is_hashed_as_the_design_writes_it(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30", id="7D1F6A52-6C1E-4F0E-9D43-0C1A5A4F0008", temperature=164.90)
    kitchen.accept(*tray_filled(), reading, at="11:30:02.417")
    entry = json.loads(kitchen.lines(after_seq=3)[0])
    assert entry == {
        "v": 1,
        "site": "S1",
        "seq": cast.nth(4),
        "id": "7d1f6a52-6c1e-4f0e-9d43-0c1a5a4f0008",
        "kind": "hold_reading",
        "observed_at": "2026-04-14T16:30:00.000Z",
        "recorded_at": "2026-04-14T16:30:02.417Z",
        "person": "cook",
        "via": "token:1",
        "late": False,
        "previous_hash": entry["previous_hash"],
        "tray": "A-T1",
        "temperature": "164.9",
        "unit": "F",
        "probe": "blue",
        "hash": entry["hash"],
    }
