"""What may not be said of food that was set aside: released by whom it may not be, or out while it is here."""

from typing import Any

import pytest

from app.ledger import Caller
from tests.support import cast
from tests.support.ledger_kitchen import COOK, PAT, TABLET, Draft, Kitchen, batch_chilled, spit_loaded, tray_filled

PAT_S_TOKEN = Caller("pat", "Pat Porter", "in_charge", "token:2")


def release(*findings: str, at: str = "11:00", **fields: Any) -> Draft:
    return cast.draft("release", at=at, findings=list(findings), **fields)


def action(*findings: str, at: str = "11:00", **fields: Any) -> Draft:
    return cast.draft("corrective_action", at=at, findings=list(findings), **fields)


def reading(temperature: str, bird: int = 1) -> Draft:
    return cast.draft("cook_reading", at="10:30", bird=bird, temperature=temperature)


def unprobed(kitchen: Kitchen) -> str:
    """A spit pulled without a reading: what the finding sets aside may be released."""
    kitchen.accept(cast.draft("probe_check", at="06:00"), *tray_filled(), at="10:40")
    return key(kitchen, "cook.core_temperature")


def undercooked(kitchen: Kitchen) -> str:
    """A spit pulled at 149 °F: nobody may release it."""
    pull = cast.draft("spit_pulled", at="10:36")
    kitchen.accept(cast.draft("probe_check", at="06:00"), *spit_loaded(), reading("149"), pull, at="10:40")
    return key(kitchen, "cook.core_temperature")


def key(kitchen: Kitchen, rule: str, at: str = "20:00") -> str:
    return next(one.key for one in kitchen.assess(as_of=cast.moment(at)).findings if one.rule == rule)


# ---- release --------------------------------------------------------------------------------------------------------


def test_somebody_in_charge_releases(kitchen: Kitchen) -> None:
    finding = unprobed(kitchen)
    kitchen.accept(release(finding), by=PAT, at="11:00")
    kitchen.accept(release(finding), by=PAT_S_TOKEN, at="11:01")
    assert kitchen.assess(as_of=cast.moment("11:02")).trays[0].set_aside is None


@pytest.mark.parametrize("by", [COOK, TABLET], ids=["a cook", "a tablet"])
def test_nobody_else_does(sqlite_kitchen: Kitchen, by: Caller) -> None:
    finding = unprobed(sqlite_kitchen)
    named = {"person": "pat"} if by is TABLET else {}
    assert sqlite_kitchen.refuse(release(finding, **named), by=by, at="11:00") == [("kind", "forbidden")]


def test_at_a_tablet_s_page_the_pin_once_more_is_enough(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    at_tablet = Caller("pat", "Pat Porter", "in_charge", "tablet:A", pin_again=True)
    refused = sqlite_kitchen.refuse(release(finding, person="sam"), by=at_tablet, at="11:00")
    assert refused == [("person", "forbidden")]
    cook = Caller("cook", "Casey Cook", "cook", "tablet:A", pin_again=True)
    assert sqlite_kitchen.refuse(release(finding), by=cook, at="11:00") == [("kind", "forbidden")]
    sqlite_kitchen.accept(release(finding), by=at_tablet, at="11:00")


def test_what_may_not_be_released_is_refused_whole(sqlite_kitchen: Kitchen) -> None:
    bad = undercooked(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("hold_reading", at="10:50", temperature="130"), at="10:50")
    sets_nothing_aside = key(sqlite_kitchen, "hold.temperature", at="11:00")
    for findings in ([bad], [sets_nothing_aside]):
        assert sqlite_kitchen.refuse(release(*findings), by=PAT, at="11:00") == [("findings", "order")]


def test_one_that_may_not_be_released_keeps_the_others_aside(sqlite_kitchen: Kitchen) -> None:
    good = unprobed(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("hold_reading", at="10:50", temperature="130"), at="10:50")
    low = key(sqlite_kitchen, "hold.temperature", at="11:00")
    assert sqlite_kitchen.refuse(release(good, low), by=PAT, at="11:00") == [("findings", "order")]
    assert sqlite_kitchen.assess(as_of=cast.moment("11:01")).trays[0].set_aside is not None


def test_what_does_not_stand_at_that_moment_is_refused(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    assert sqlite_kitchen.refuse(release(finding, at="10:30"), by=PAT, at="10:45") == [("findings", "order")]


def test_what_was_mended_away_is_refused(sqlite_kitchen: Kitchen) -> None:
    pull = cast.draft("spit_pulled", at="10:36")
    wrong = reading("149")
    sqlite_kitchen.accept(*spit_loaded(), wrong, reading("170", bird=2), pull, at="10:40")
    finding = key(sqlite_kitchen, "cook.core_temperature", at="10:40")
    sqlite_kitchen.accept({**reading("169"), "amends": wrong["id"], "amend_reason": "typing"}, at="10:45")
    assert sqlite_kitchen.refuse(release(finding), by=PAT, at="11:00") == [("findings", "order")]


@pytest.mark.parametrize(
    "unknown",
    ["no key at all", "cook.core_temperature:spit:A-L1/1:00000000-0000-4000-8000-00000000dead"],
    ids=["no key", "no opener"],
)
def test_a_key_whose_opener_is_not_there_is_unknown(sqlite_kitchen: Kitchen, unknown: str) -> None:
    unprobed(sqlite_kitchen)
    assert sqlite_kitchen.refuse(release(unknown), by=PAT, at="11:00") == [("findings", "unknown")]


def test_a_key_of_an_entry_that_opened_no_such_finding_does_not_stand(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    other = finding.replace("cook.core_temperature", "ties.balance")
    assert sqlite_kitchen.refuse(release(other), by=PAT, at="11:00") == [("findings", "order")]


def test_a_release_without_a_basis_or_findings_is_refused(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    assert sqlite_kitchen.refuse(release(finding, basis=...), by=PAT) == [("basis", "missing")]
    assert sqlite_kitchen.refuse(release(), by=PAT) == [("findings", "missing")]


def test_a_release_is_withdrawn_and_not_amended(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    given = release(finding)
    sqlite_kitchen.accept(given, by=PAT, at="11:00")
    again = {**release(finding), "amends": given["id"], "amend_reason": "other words"}
    assert sqlite_kitchen.refuse(again, by=PAT, at="11:05") == [("amends", "order")]
    taken_back = cast.withdrawal(given, at="11:06")
    assert sqlite_kitchen.refuse(taken_back, by=COOK, at="11:06") == [("kind", "forbidden")]
    sqlite_kitchen.accept(taken_back, by=PAT, at="11:06")
    assert sqlite_kitchen.assess(as_of=cast.moment("11:07")).trays[0].set_aside is not None


def test_a_release_sent_twice_is_kept_once(sqlite_kitchen: Kitchen) -> None:
    given = release(unprobed(sqlite_kitchen))
    sqlite_kitchen.accept(given, by=PAT, at="11:00")
    (again,) = sqlite_kitchen.post(given, by=PAT, at="11:05")
    assert again.status == "duplicate"


def test_a_release_makes_a_signature_stale(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("tray_out", at="10:50", to="chilled", batch="A-B1", birds="5"), at="10:50")
    readings = [
        cast.draft("cooling_reading", at=at, temperature=temperature)
        for at, temperature in (("12:00", "65"), ("14:00", "40"))
    ]
    sqlite_kitchen.accept(*readings, at="14:00")
    sqlite_kitchen.accept(release(finding, at="15:00"), by=PAT, at="15:00")
    day = sqlite_kitchen.assess(as_of=cast.moment("15:01"))
    assert [one.basis for one in day.answers[finding].releases] == ["read again with a true probe: 168 °F"]
    assert day.batches[0].set_aside is None


# ---- already out ----------------------------------------------------------------------------------------------------


def test_food_is_out_once_none_of_it_is_here(kitchen: Kitchen) -> None:
    finding = undercooked(kitchen)
    out = cast.draft("tray_out", at="10:50", birds="3")
    kitchen.accept(out, at="10:50")
    said = action(finding, disposition="already_out", told="the two guests who were still here")
    assert kitchen.refuse(said, at="11:00") == [("disposition", "order")]
    kitchen.accept(cast.draft("tray_out", at="10:55", birds="2", to="discarded"), at="11:00")
    kitchen.accept(said, at="11:00")


def test_what_was_moved_or_released_is_here_still(sqlite_kitchen: Kitchen) -> None:
    finding = unprobed(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("tray_out", at="10:50", birds="5", to="other_tray", into="A-T2"), at="10:50")
    sqlite_kitchen.accept(release(finding), by=PAT, at="11:00")
    late = action(finding, at="11:10", disposition="already_out")
    assert sqlite_kitchen.refuse(late, at="11:10") == [("disposition", "order")]


def test_what_was_here_when_that_was_seen_is_what_counts(sqlite_kitchen: Kitchen) -> None:
    finding = undercooked(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("tray_out", at="11:30", birds="5"), at="11:30")
    early = action(finding, at="11:29", disposition="already_out")
    assert sqlite_kitchen.refuse(early, at="11:40") == [("disposition", "order")]
    sqlite_kitchen.accept(action(finding, at="11:30", disposition="already_out"), at="11:40")


def test_of_a_low_reading_what_was_in_the_tray_then(sqlite_kitchen: Kitchen) -> None:
    unprobed(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("hold_reading", at="11:00", temperature="130"), at="11:00")
    low = key(sqlite_kitchen, "hold.temperature", at="11:01")
    said = action(low, at="11:20", disposition="already_out")
    assert sqlite_kitchen.refuse(said, at="11:20") == [("disposition", "order")]
    sqlite_kitchen.accept(cast.draft("tray_out", at="11:10", birds="5"), at="11:20")
    sqlite_kitchen.accept(said, at="11:20")


def test_of_a_way_out_what_left_by_it(sqlite_kitchen: Kitchen) -> None:
    """Three of an undercooked tray were served: those are out, though two are here."""
    undercooked(sqlite_kitchen)
    sqlite_kitchen.accept(cast.draft("tray_out", at="10:50", birds="3"), at="10:50")
    sqlite_kitchen.accept(action(key(sqlite_kitchen, "aside.left"), disposition="already_out"), at="11:00")


def test_a_correction_may_not_say_so_either(sqlite_kitchen: Kitchen) -> None:
    finding = undercooked(sqlite_kitchen)
    said = action(finding, disposition="discard")
    sqlite_kitchen.accept(said, at="11:00")
    mended = {**action(finding, disposition="already_out"), "amends": said["id"], "amend_reason": "it was sold"}
    assert sqlite_kitchen.refuse(mended, at="11:05") == [("disposition", "order")]


def test_what_holds_no_food_is_not_asked(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(cast.draft("probe_check", at="10:00", temperature="35"), at="10:00")
    failed = key(sqlite_kitchen, "probe.accuracy")
    sqlite_kitchen.accept(action(failed, disposition="already_out"), at="11:00")


def test_a_batch_that_was_never_seen_to_cool_is_out_when_it_is_empty(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(*batch_chilled(), at="12:00")
    stage = key(sqlite_kitchen, "cool.first_stage", at="15:00")
    said = action(stage, at="15:00", disposition="already_out")
    assert sqlite_kitchen.refuse(said, at="15:00") == [("disposition", "order")]
    sqlite_kitchen.accept(cast.draft("batch_out", at="14:50", birds="5"), said, at="15:00")
