"""What ends that food is set aside: it is cooked on, reheated, or released."""

import pytest

from app.rules.day.food_shown import SetAsideView
from tests.support.aside_story import (
    COLD,
    LATE,
    TOO_FEW,
    UNDER,
    Story,
    aside,
    cooled,
    key,
    pulled,
    reheated,
    released,
    returned,
    rules_of,
)
from tests.support.cast import entry, moment
from tests.support.story import (
    found,
    loaded,
    no_display,
    out,
    probe_check,
    probed,
    told,
)

# ---- what ends it: cooked on, reheated -------------------------------------------------------------------------------


def on_again(*temperatures: str, probe: str = "blue", at: str = "11:20") -> Story:
    return [
        *UNDER,
        returned(),
        *[
            entry("cook_reading", at=at, spit=9, bird=bird, temperature=one, probe=probe)
            for bird, one in enumerate(temperatures, start=1)
        ],
        pulled("11:25", "A-T2", spit=9),
    ]


ENDINGS: list[tuple[str, Story, list[str]]] = [
    ("cooked on and met", on_again("166", "167"), []),
    ("cooked on and under", on_again("150", "167"), ["cook.core_temperature"] * 2),
    ("cooked on and too few probed", on_again("166"), ["cook.core_temperature"] * 2),
    (
        "cooked on, met on a doubtful probe",
        [*on_again("166", "167"), no_display(at="12:00")],
        ["cook.core_temperature"],
    ),
    (
        "a good reheat",
        [*UNDER, out("5", "10:50", "reheated", reheat="A-R1"), *reheated("11:30", "170", start="-")],
        ["cook.core_temperature"],
    ),
]


@pytest.mark.parametrize(("story", "rules"), [c[1:] for c in ENDINGS], ids=[c[0] for c in ENDINGS])
def test_what_an_undercooked_bird_is_made_good_by(story: Story, rules: list[str]) -> None:
    day = told([probe_check(at="05:00"), *story], as_of="12:10")
    assert [rule for rule in rules_of(day, "A-T2") if rule != "probe.review"] == rules


def test_birds_on_a_spit_at_a_failed_check_are_made_good_by_a_probe_that_is_right() -> None:
    story = [probe_check(at="05:00"), *loaded(), *probed("170", "171"), no_display(at="10:32")]
    assert aside(told(story, as_of="10:33"), "A-L1/1") == SetAsideView(
        since=moment("10:32"),
        findings=(key(story, "probe.review"),),
        cleared=(),
        ways=("discarded", "pulled"),
        release=True,
        can_be_made_good=True,
    )
    again = [*story, *probed("168", "169", at="10:40", probe="white"), pulled("10:41")]
    assert aside(told(again, as_of="10:50"), "A-T1") is None
    assert rules_of(told([*story, pulled("10:41")], as_of="10:50"), "A-T1") == ["probe.review"]


def test_birds_that_were_pulled_before_the_failed_check_are_not() -> None:
    story = [probe_check(at="05:00"), *loaded(), *probed("170"), *probed("171", "172", probe="white"), pulled()]
    assert rules_of(told([*story, no_display(at="10:40")], as_of="10:50"), "A-T1") == ["probe.review"]


def test_food_of_a_bad_reheat_is_made_good_by_a_good_one() -> None:
    again = [out("5", "14:10", "reheated", "A-T2", reheat="A-R2")]
    good = [*again, *reheated("14:40", "167", reheat="A-R2", tray="A-T3", start="-")]
    bad = [*again, *reheated("14:40", "150", reheat="A-R2", tray="A-T3", start="-")]
    story = [*COLD, *reheated("14:00", "150")]
    assert aside(told([*story, *good], as_of="14:50"), "A-T3") is None
    assert rules_of(told([*story, *bad], as_of="14:50"), "A-T3") == ["reheat.temperature"] * 2


def test_a_reheat_whose_own_reading_is_in_doubt_is_not_made_good_by_it() -> None:
    story = [probe_check(at="05:00"), *COLD[:3], *COLD[3:4], *COLD[4:-2]]
    story += [cooled("65", "12:00", probe="white"), cooled("40", "12:30", probe="white"), *reheated("13:30", "170")]
    day = told([*story, no_display(at="13:40")], as_of="13:50")
    assert "probe.review" in rules_of(day, "A-T2")


def test_a_good_reheat_ends_nothing_that_came_from_cooling() -> None:
    late = [*LATE, cooled("40", "14:00"), *reheated("15:00", "170", start="14:10")]
    assert rules_of(told(late, as_of="15:10"), "A-T2") == ["cool.first_stage"]


# ---- release --------------------------------------------------------------------------------------------------------

FEW = key(TOO_FEW, "cook.core_temperature")


def test_a_release_frees_what_is_aside_wherever_it_is() -> None:
    story = [*TOO_FEW, out("2", "10:50", "other_tray", into="A-T2"), released(FEW, "11:00")]
    day = told([*story, out("3", "11:10"), out("2", "11:10", tray="A-T2")], as_of="11:20")
    assert (aside(day, "A-T1"), aside(day, "A-T2"), found(day, "aside.left")) == (None, None, [])
    assert [one.id for one in day.answers[FEW].releases] == [story[-1].id]
    assert found(day, "cook.core_temperature")[0].status == "open"


def test_a_release_frees_nothing_that_comes_later() -> None:
    story = [*loaded(birds=6), *probed("170"), pulled(birds=2), pulled("11:30", "A-T2", birds=4)]
    finding = key(story, "cook.core_temperature")
    day = told([*story, released(finding, "11:00")], as_of="11:40")
    assert (aside(day, "A-T1"), rules_of(day, "A-T2")) == (None, ["cook.core_temperature"])


def test_a_late_release_frees_what_is_aside_when_it_is_written() -> None:
    late = released(FEW, "11:00", late=True)
    assert late.recorded_at == moment("11:00:02")
    day = told([*TOO_FEW, late, out("1", "11:00:01")], as_of="11:10")
    assert [finding.measured["to"] for finding in found(day, "aside.left")] == ["served"]
    assert aside(told([*TOO_FEW, late], as_of="11:00:01"), "A-T1") is not None


def test_a_release_frees_nothing_while_the_finding_as_it_stands_may_not_be_released() -> None:
    """Released when too few birds were probed; then a reading that was forgotten is written down: 149 °F."""
    forgotten = entry("cook_reading", at="10:30", bird=2, temperature="149")
    day = told([*TOO_FEW, forgotten, released(FEW, "11:00")], as_of="11:10")
    assert rules_of(day, "A-T1") == ["cook.core_temperature"]


def test_a_release_before_the_onset_frees_nothing() -> None:
    early = released(FEW, "10:00")
    assert rules_of(told([*TOO_FEW, early], as_of="11:10"), "A-T1") == ["cook.core_temperature"]


def test_a_release_frees_for_its_own_finding_only() -> None:
    story = [*loaded(ties=5), *probed("170"), pulled(ties_removed=4)]
    day = told([*story, released(key(story, "ties.balance"), "11:00")], as_of="11:10")
    assert rules_of(day, "A-T1") == ["cook.core_temperature"]
