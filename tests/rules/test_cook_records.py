"""Past spits as a forecast learns from them: which there are, what was read until the pull, how heavy, how many."""

from datetime import timedelta

import pytest

from app.rules.forecasts.cook_records import past_records, record_of_view
from app.rules.forecasts.cook_time import SpitRecord
from app.rules.history.kitchen import Kitchen
from app.rules.history.versions import effective
from tests.support import set_up
from tests.support.cast import entry, moment
from tests.support.story import hot_tray, loaded, out, probed, told

PULLED, EVENING = moment("10:35"), moment("20:00")
SECOND = timedelta(seconds=1)


def past(*story, before=EVENING) -> list[SpitRecord]:
    calendar = set_up.calendar()
    entries = effective(sorted(story, key=lambda one: one.seq), as_of=EVENING)
    return past_records(Kitchen(entries, site=calendar.site, plan_at=calendar.plan_at), before=before)


def setting(at, oven="east", **fields):
    return entry("oven_setting", at=at, oven=oven, **fields)


def test_a_spit_is_a_past_one_once_its_last_bird_was_pulled():
    assert past(*hot_tray(), before=PULLED - SECOND) == past(*hot_tray(), before=PULLED) == []
    (record,) = past(*hot_tray(), before=PULLED + SECOND)
    assert (record.started_at, record.birds) == (moment("09:00"), 5)


def test_a_spit_with_birds_on_it_and_one_that_nobody_read_teach_nothing():
    half = [*loaded(), *probed("170"), entry("spit_pulled", at="10:35", birds=3)]
    unread = [*loaded(load="A-L2"), entry("spit_pulled", at="10:35", load="A-L2", tray="A-T2")]
    assert past(*half, *unread) == []


def test_the_oldest_pull_comes_first_whatever_was_started_first():
    second = hot_tray(load="A-L2", tray="A-T2", probed_at="10:00", pulled="10:10")
    assert [record.readings[0][0] for record in past(*hot_tray(), *second)] == [moment("10:00"), moment("10:30")]


@pytest.mark.parametrize(("at", "read"), [("10:35", 3), ("10:35:01", 2)])
def test_what_was_read_until_the_pull_belongs_to_the_cook(at, read):
    (record,) = past(*hot_tray(), entry("cook_reading", at=at, bird=3))
    assert len(record.readings) == read


@pytest.mark.parametrize(
    ("loadings", "kg"),
    [
        ([], None),
        ([("1.5", "kg", 2)], 1.5),
        ([("1.5", "kg", 2), ("2", "kg", 6)], 1.875),
        ([("10", "lb", 4)], 4.5359237),
        ([("10", "lb", 4), (None, None, 20)], 4.5359237),
    ],
    ids=["not weighed", "kilograms", "two weights", "pounds: 0.45359237 kg each", "some of them weighed"],
)
def test_the_weight_of_a_bird_is_the_mean_over_the_birds_that_were_weighed(loadings, kg):
    """The pound of 1959: 0.45359237 kg exactly (NIST Handbook 44, Appendix C)."""
    weights = [{"mean_weight": weight, "weight_unit": unit} if weight else {} for weight, unit, _birds in loadings]
    on = [
        entry("spit_loaded", at="09:00", birds=birds, **weight)
        for weight, (_weight, _unit, birds) in zip(weights, loadings, strict=True)
    ] or [entry("spit_loaded", at="09:00", birds=1)]
    birds = sum(one.birds for one in on)
    pull = entry("spit_pulled", at="10:35", birds=birds)
    (record,) = past(entry("load_started", at="09:00"), *on, *probed("170", "171"), pull)
    assert record.birds == birds
    assert record.bird_kg == (kg if kg is None else pytest.approx(kg))


def test_birds_that_came_back_from_a_tray_count_and_have_no_weight():
    back = out("2", "10:40", "returned_to_oven", load="A-L1", spit=2)
    again = [*probed("180", "181", at="11:30", spit=2), entry("spit_pulled", at="11:35", spit=2, birds=2, tray="A-T2")]
    assert [(record.birds, record.bird_kg) for record in past(*hot_tray(), back, *again)] == [(5, None), (2, None)]


@pytest.mark.parametrize(
    ("settings", "percent"),
    [
        ([], None),
        ([setting("09:00", rotation="60")], 60),
        ([setting("09:00", rotation="60"), setting("10:35", rotation="70")], 70),
        ([setting("09:00", rotation="60"), setting("10:35:01", rotation="70")], 60),
        ([setting("09:00", oven="west", rotation="60")], None),
        ([setting("09:00", rotation=..., temperature="350", unit="F")], None),
    ],
    ids=["never set", "set", "set at the pull", "set after it", "another oven's", "the heat alone was set"],
)
def test_the_drum_turned_as_it_was_last_set_by_the_pull(settings, percent):
    (record,) = past(*settings, *hot_tray())
    assert record.rotation_percent == percent


def test_a_spit_that_still_roasts_is_seen_as_its_day_shows_it():
    story = [*loaded(mean_weight="1.5", weight_unit="kg"), *probed("120", "121")]
    load = told(story, as_of="10:31").loads[0]
    record = record_of_view(load, load.spits[0], [setting("09:00", rotation="60"), setting("10:00", rotation="65")])
    assert (record.birds, record.bird_kg, record.rotation_percent, len(record.readings)) == (5, 1.5, 65, 2)
