"""Deliveries and their lots, cold and hot units, and how often they are checked."""

from datetime import timedelta

import pytest

from tests.support.cast import DAY, entry, moment
from tests.support.story import found, loaded, told, verdict_of

NEXT_DAY = moment("04:00", day=DAY + timedelta(days=1))


def received(at="08:00", **fields):
    return entry("receiving", at=at, **fields)


# ---- deliveries: FDA Food Code 2022, 3-202.11(A), 41 °F (5 °C) or less -----------------------------------------------


@pytest.mark.parametrize(
    ("fields", "verdict"),
    [
        ({"temperature": "41", "unit": "F"}, "none"),
        ({"temperature": "41.1", "unit": "F"}, "not_met"),
        ({"temperature": "5", "unit": "C"}, "none"),
        ({"temperature": "5.1", "unit": "C"}, "not_met"),
        ({"temperature": ..., "unit": ...}, "not_shown"),
        ({"temperature": "50", "decision": "rejected"}, "none"),
        ({"temperature": ..., "unit": ..., "decision": "rejected"}, "none"),
        ({"temperature": ..., "unit": ..., "state": "frozen"}, "none"),
    ],
)
def test_a_chilled_delivery_is_accepted_cold_and_read(fields, verdict):
    assert verdict_of(told([received(**fields)]), "receive.temperature") == verdict


def test_a_warm_delivery_is_a_finding_on_its_lot():
    delivery = received(temperature="45")
    day = told([delivery])
    finding = found(day, "receive.temperature")[0]
    assert (finding.key, finding.concerns) == (f"receive.temperature:receiving:0412-7:{delivery.id}", "critical_limit")
    assert finding.dispositions == ("reject_delivery", "discard", "hold_for_evaluation")
    assert day.receiving[0].verdict == "not_met"


def test_two_deliveries_of_one_lot_are_judged_each():
    day = told([received(temperature="45"), received("09:00")])
    assert [str(view.verdict) for view in day.receiving] == ["not_met", "met"]


# ---- lots ------------------------------------------------------------------------------------------------------------


def cooked(*deliveries, **options):
    return told([*deliveries, *loaded()], **options)


def test_a_lot_that_was_accepted_is_known():
    day = cooked(received())
    assert (verdict_of(day, "lot.known"), verdict_of(day, "lot.rejected")) == ("none", "none")


def test_a_lot_that_nobody_received_and_birds_of_no_lot_are_not_known():
    assert verdict_of(cooked(received(lot="other")), "lot.known") == "not_shown"
    assert verdict_of(told([received(), *loaded(lot=...)]), "lot.known") == "not_shown"


def test_a_delivery_written_or_seen_after_the_load_is_known_in_hindsight_up_to_as_of():
    late = received("12:00")
    assert verdict_of(cooked(late, as_of="11:59"), "lot.known") == "not_shown"
    assert verdict_of(cooked(late, as_of="12:00"), "lot.known") == "none"


def test_a_lot_is_found_once_a_load_at_its_first_loading():
    more = [entry("spit_loaded", at=at, spit=spit, lot="L-9") for at, spit in (("09:05", 2), ("09:01", 3))]
    day = told([*loaded(lot="L-8"), *more])
    openers = {f.measured["lot"]: f.entries[0] for f in found(day, "lot.known")}
    assert len(openers) == 2
    assert openers["L-9"] == more[1].id


@pytest.mark.parametrize(
    ("decisions", "verdict"),
    [(["rejected"], "not_met"), (["rejected", "accepted"], "none"), (["accepted", "rejected"], "none")],
)
def test_a_lot_that_was_only_rejected_is_not_cooked(decisions, verdict):
    deliveries = [received(decision=decision) for decision in decisions]
    assert verdict_of(cooked(*deliveries), "lot.rejected") == verdict


@pytest.mark.parametrize(
    ("use_by", "verdict"),
    [
        (["2026-04-14"], "none"),
        (["2026-04-13"], "not_met"),
        (["2026-04-13", "2026-04-15"], "none"),
        (["2026-04-13", None], "not_met"),
        ([None], "none"),
    ],
)
def test_a_lot_is_cooked_up_to_the_latest_date_of_its_accepted_deliveries(use_by, verdict):
    deliveries = [received(use_by=day or ...) for day in use_by]
    assert verdict_of(cooked(*deliveries), "lot.rejected") == verdict


def test_the_date_of_a_rejected_delivery_does_not_count():
    deliveries = [received(use_by="2026-04-13"), received(use_by="2026-04-20", decision="rejected")]
    assert verdict_of(cooked(*deliveries), "lot.rejected") == "not_met"


def test_before_four_in_the_morning_it_is_still_the_day_before():
    night = moment("03:59", day=DAY + timedelta(days=1))
    entries = [received(use_by=DAY.isoformat()), *loaded(at=night)]
    assert verdict_of(told(entries, as_of=night), "lot.rejected") == "none"


def test_what_a_lot_finding_carries():
    delivery = received(decision="rejected")
    first = loaded()
    finding = found(told([delivery, *first]), "lot.rejected")[0]
    assert (finding.entries, finding.onset_at) == ((first[1].id, delivery.id), moment("09:00"))
    assert (finding.subject.kind, finding.subject.name, finding.concerns) == ("load", "A-L1", "critical_limit")
