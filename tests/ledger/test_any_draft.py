"""Whatever a client sends, it is told what is wrong: nothing it could send is an error of ours."""

import json
import random
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.kinds.every_entry import FORMS, SET_BY_SERVER
from app.ledger import KINDS
from app.ledger.form import chain
from tests.support import cast
from tests.support.diary import Diary
from tests.support.examples import examples
from tests.support.ledger_kitchen import COOK, EVENING, PAT, TABLET, Kitchen
from tests.support.random_ledger import fresh_kitchen

NAMES = sorted({name for form in FORMS.values() for name in form.all_fields()} | {*SET_BY_SERVER, "signer_name"})
COMMON = ["id", "kind", "observed_at", "person", "entered_at", "note", "amends", "amend_reason", "withdrawn"]
WORDS = [
    "A-T1",
    "A-L1",
    "east",
    "blue",
    "pass",
    "walk-in",
    "F",
    "C",
    "breast",
    "served",
    "chilled",
    "ice_point",
    "cook",
]

# No database of examples: the numbers may have more digits than Python writes down.
scalars = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.integers(min_value=10**4300)
    | st.floats()
    | st.decimals()
    | st.text(st.characters())
    | st.sampled_from(WORDS)
    | st.datetimes().map(lambda at: at.isoformat() + "Z")
    | st.uuids().map(str)
)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=8,
)
fields = st.dictionaries(st.sampled_from(NAMES + COMMON) | st.text(), values, max_size=12)
drafts = values | fields | st.builds(lambda kind, rest: {**rest, "kind": kind}, st.sampled_from(sorted(KINDS)), fields)


@examples(200)
@given(sent=st.lists(drafts, min_size=1, max_size=6), by=st.sampled_from([COOK, PAT, TABLET]), together=st.booleans())
def test_any_json_is_answered(any_kitchen: Kitchen, sent: list[Any], by: Any, together: bool) -> None:
    results = any_kitchen.post(*sent, by=by, together=together)
    assert len(results) == len(sent)
    for result in results:
        assert (result.status == "rejected") == bool(result.errors)
        json.dumps([[error.field, error.code] for error in result.errors]).encode("utf-8")


@st.composite
def nearly_right(draw: st.DrawFn) -> dict[str, Any]:
    """Give an ordinary entry in which one or two fields hold something else."""
    draft = cast.draft(draw(st.sampled_from(sorted(KINDS))), at="12:00")
    for name in draw(st.lists(st.sampled_from(sorted(draft)), max_size=2)):
        draft[name] = draw(values)
    return draft


@examples(200)
@given(draft=nearly_right(), by=st.sampled_from([COOK, PAT, TABLET]))
def test_an_entry_with_a_few_odd_values_is_answered(any_kitchen: Kitchen, draft: dict[str, Any], by: Any) -> None:
    (result,) = any_kitchen.post(draft, by=by)
    assert result.status in ("accepted", "rejected")


@examples(20)
@given(seed=st.integers(0, 2**32))
def test_what_was_kept_says_the_same_when_it_is_posted_again(sqlite_template: Path, seed: int) -> None:
    with fresh_kitchen(sqlite_template) as kitchen:
        later = EVENING.replace(year=2027)
        kitchen.post(*Diary(random.Random(seed)).write(60), at=later)
        for line in kitchen.lines():
            body = json.loads(line)
            own_hash = body.pop("hash")
            assert chain.entry_hash(chain.canonical(body)) == own_hash
            client = {name: value for name, value in body.items() if name not in SET_BY_SERVER}
            (result,) = kitchen.post(client, at=later)
            assert (result.status, result.seq) == ("duplicate", body["seq"])
