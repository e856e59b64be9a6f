"""Food set aside: the right ways out of it, any other way, and what a mending makes go away."""

from typing import Any

import pytest

from tests.support.aside_story import (
    COLD,
    GROWN_WARM,
    LATE,
    NEVER_READ,
    OUT_FOR_HOURS,
    REHEATED_TOO_COOL,
    REJECTED,
    STILL_REHEATING,
    TIES,
    TOO_FEW,
    UNDER,
    Story,
    aside,
    chilled,
    cooled,
    key,
    pulled,
    returned,
)
from tests.support.cast import entry, moment
from tests.support.story import (
    found,
    hot_tray,
    loaded,
    out,
    probe_check,
    probed,
    told,
)

# ---- the ways out ---------------------------------------------------------------------------------------------------

WAYS: list[tuple[str, Story, str, str, tuple[str, ...], bool]] = [
    ("undercooked", UNDER, "11:00", "A-T1", ("discarded", "other_tray", "returned_to_oven"), False),
    ("too few probed", TOO_FEW, "11:00", "A-T1", ("discarded", "chilled", "other_tray", "returned_to_oven"), True),
    ("a tie missing", TIES, "11:00", "A-T1", ("discarded", "chilled", "other_tray"), True),
    ("a lot rejected", REJECTED, "11:00", "A-T1", ("discarded", "chilled", "other_tray"), True),
    ("out for 4 hours", OUT_FOR_HOURS, "14:31", "A-T1", ("discarded",), False),
    ("cooled too slowly", LATE, "13:00", "A-B1", ("discarded",), False),
    ("cooling not shown", NEVER_READ, "13:00", "A-B1", ("discarded",), True),
    ("a bad reheat", REHEATED_TOO_COOL, "14:10", "A-T2", ("discarded", "reheated", "other_tray"), False),
    ("a reheat on too long", STILL_REHEATING, "15:01", "A-R1", ("discarded",), False),
    ("warm in cold storage", GROWN_WARM, "20:00", "A-B1", ("discarded",), True),
]


@pytest.mark.parametrize(("story", "as_of", "name", "ways", "release"), [c[1:] for c in WAYS], ids=[c[0] for c in WAYS])
def test_the_right_ways_are_those_of_the_finding(
    story: Story, as_of: str, name: str, ways: tuple[str, ...], release: bool
) -> None:
    view = aside(told(story, as_of=as_of), name)
    assert view is not None
    assert (view.ways, view.release) == (ways, release)


def test_of_several_findings_the_ways_that_all_have_are_right() -> None:
    story = [*loaded(ties=5), *probed("149", "170"), pulled(ties_removed=4)]
    view = aside(told(story, as_of="11:00"), "A-T1")
    assert view is not None
    assert (view.ways, view.release) == (("discarded", "other_tray"), False)


@pytest.mark.parametrize("to", ["served", "prepared", "donated"])
def test_any_other_way_is_found(to: str) -> None:
    finding = found(told([*UNDER, out("2", "11:00", to)]), "aside.left")[0]
    assert (finding.subject.name, finding.verdict, finding.concerns) == ("A-T1", "not_met", "critical_limit")
    assert (finding.measured["to"], finding.measured["since"]) == (to, moment("10:36"))
    assert finding.dispositions == ("discard", "already_out")


def test_a_right_way_is_not() -> None:
    story = [*UNDER, out("1", "11:00", "discarded"), out("2", "11:01", "other_tray", into="A-T2"), returned("11:02", 2)]
    assert not found(told(story), "aside.left")


def test_each_way_out_of_a_batch_is_asked() -> None:
    story = [*COLD, cooled("45", "14:00"), entry("batch_out", at="15:00", birds="1")]
    story += [entry("reheat_started", at="15:10", birds="1"), entry("batch_out", at="15:20", birds="1", to="discarded")]
    assert [one.measured["to"] for one in found(told(story), "aside.left")] == ["served_cold", "reheated"]


def test_what_left_at_the_onset_of_a_time_limit_was_not_aside() -> None:
    due = [*hot_tray(), chilled(birds="4"), cooled("80", "12:45")]
    out_then = entry("batch_out", at="12:30", birds="1")
    assert not found(told([*due, out_then]), "aside.left")
    later = entry("batch_out", at="12:30:01", birds="1")
    assert len(found(told([*due, later]), "aside.left")) == 1


def test_what_left_at_the_instant_of_the_opener_was_aside_if_the_opener_comes_first() -> None:
    warm = cooled("45", "14:00")
    assert len(found(told([*COLD, warm, entry("batch_out", at="14:00", birds="1")]), "aside.left")) == 1


def test_one_way_out_is_found_once_for_several_findings() -> None:
    story = [*loaded(ties=5), *probed("149", "170"), pulled(ties_removed=4), out("2", "11:00")]
    (left,) = found(told(story), "aside.left")
    assert len(left.measured["findings"]) == 2


# ---- verdicts and cleared findings ----------------------------------------------------------------------------------


def tray_verdict(story: Story, name: str = "A-T1", **options: Any) -> str:
    return next(str(tray.verdict) for tray in told(story, **options).trays if tray.tray == name)


def test_a_tray_is_as_bad_as_what_set_aside_what_was_in_it() -> None:
    assert tray_verdict(UNDER, as_of="11:00") == "not_met"
    assert tray_verdict(TOO_FEW, as_of="11:00") == "not_shown"
    assert tray_verdict([*UNDER, out("5", "11:00", "discarded")]) == "not_met"
    assert tray_verdict([*TOO_FEW, out("5", "11:00")]) == "not_met"


def mended() -> Story:
    wrong = entry("cook_reading", at="10:30", bird=1, temperature="149")
    right = entry(
        "cook_reading", at="10:30", temperature="169", of=wrong, amend_reason="typing", person="robin", seq=10**6
    )
    return [*loaded(), wrong, entry("cook_reading", at="10:30", bird=2), pulled(), right]


def test_a_finding_that_a_mending_cleared_stays_until_it_is_verified() -> None:
    story = mended()
    day = told(story, as_of="11:00")
    cleared = day.cleared[0].finding.key
    view = aside(day, "A-T1")
    assert view is not None
    assert (view.findings, view.cleared, view.release) == ((), (cleared,), False)
    assert "served" in view.ways
    assert not found(told([*story, out("5", "11:00")]), "aside.left")
    ok = entry("action_verified", at="11:05", person="pat", findings=[cleared], outcome="accepted", seq=10**6 + 1)
    assert aside(told([*story, ok], as_of="11:10"), "A-T1") is None


def test_what_was_accepted_before_the_mending_does_not_count_for_it() -> None:
    story = mended()
    finding = key(story[:-1], "cook.core_temperature")
    acted = entry("corrective_action", at="10:50", findings=[finding], disposition="discard")
    accepted = entry("action_verified", at="10:55", person="pat", findings=[finding], outcome="accepted")
    day = told([*story, acted, accepted], as_of="11:00")
    assert [str(item.finding.status) for item in day.cleared] == ["acted"]


@pytest.mark.parametrize(
    ("temperature", "is_made_good"),
    [("149", False), ("170", True)],
    ids=["it came undercooked, which no reheat ends", "a probe was in doubt, which a good reheat ends"],
)
def test_what_can_be_made_good_in_a_reheat(temperature, is_made_good):
    reheated = out("5", "10:50", to="reheated", reheat="A-R1")
    held = entry("hold_reading", at="10:40", temperature="136", probe="white")
    failed = [held, probe_check("40", at="11:00", probe="white")] if is_made_good else []
    checks = [probe_check(at="05:00"), probe_check(at="05:01", probe="white")]
    story = [*checks, *loaded(), *probed(temperature, "171"), entry("spit_pulled", at="10:35"), reheated, *failed]
    (shown,) = told(story, as_of="11:10").reheats
    assert shown.set_aside is not None
    assert shown.set_aside.can_be_made_good is is_made_good
