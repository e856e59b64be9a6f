"""What a rule declares that it reads is all that it rests on: entries of any other kind change none of its findings."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import event, given

from app.kinds import KINDS, CookReading, Entry, Release
from app.rules.day.judge import all_rules
from app.rules.day.registry import Each, with_needed
from tests.support import set_up
from tests.support.any_kind import Records, records
from tests.support.aside_story import cooled
from tests.support.cast import entry, minutes
from tests.support.examples import examples
from tests.support.story import adopted, hot_tray, out, read

RULES = all_rules()


def rests_on(name: str) -> frozenset[type[Entry]]:
    """Give every kind that can change what a rule finds, as `Rule.reads` says."""
    read = (RULES[one].reads for one in with_needed(frozenset([name])))
    work = (kind for kind in KINDS.values() if kind.COUNTS_FOR_DAY and RULES[name].each is Each.DAY)
    return frozenset(work).union(*read)


def without(entries: list[Entry], kind: type[Entry]) -> Iterator[list[Entry]]:
    """Give the entries without those of a kind, and with those seen later."""
    yield [one for one in entries if type(one) is not kind]
    late = minutes(25)
    yield [replace(one, observed_at=one.observed_at + late) if type(one) is kind else one for one in entries]


def changed_by(kept: Records, kind: type[Entry]) -> set[str]:
    """Give the rules that find something else once the entries of a kind are gone, or seen later."""
    found = kept.findings(kept.entries)
    others = [kept.findings(entries) for entries in without(kept.entries, kind)]
    return {name for name in RULES if any(other.get(name) != found.get(name) for other in others)}


@examples(120)
@given(records())
def test_what_a_rule_does_not_rest_on_changes_nothing_that_it_finds(kept: Records) -> None:
    for kind in sorted({type(one) for one in kept.entries}, key=lambda kind: kind.KIND):
        changed = changed_by(kept, kind)
        event(f"{kind.KIND}: {len(changed)} rules")
        assert {name for name in changed if kind not in rests_on(name)} == set(), kind.KIND


COOKED = [*hot_tray(), read("130", "11:00"), read("130", "15:00"), out("5", "15:10")]
"""The birds were probed before they were pulled, and read low twice."""
UNPULLED = [entry(kind, at="12:00", load="A-L9") for kind in ("load_started", "spit_loaded")]
COOLED = [*hot_tray(), read("150", "12:00"), out("5", "12:10", "chilled", batch="A-B1")]
COOLED += [cooled(*one) for one in (("70", "13:50"), ("41", "17:55"), ("50", "19:00"))]
"""Cold in time after it was last read hot, too late after it was pulled; then warm again."""


@pytest.mark.parametrize(
    ("rule", "kind", "story"),
    [
        ("hold.time_out", "cook_reading", COOKED),
        ("hold.time_out", "spit_loaded", COOKED),
        ("hold.disposition", "cook_reading", COOKED),
        ("aside.left", "hold_reading", COOKED),
        ("birds.balance", "load_started", UNPULLED),
        ("cold.temperature", "hold_reading", COOLED),
    ],
)
def test_what_a_rule_rests_on_from_afar_changes_what_it_finds(rule: str, kind: str, story: list[Entry]) -> None:
    """So the property above would fail on a declaration without it."""
    assert rule in changed_by(Records(story, set_up.calendar(plans=[adopted()])), KINDS[kind])
    assert KINDS[kind] in rests_on(rule)


def test_what_left_food_aside_rests_on_what_set_it_aside() -> None:
    assert CookReading in rests_on("aside.left") > RULES["probe.review"].reads | {Release}
