"""Food prepared and kept cold: its batch has the clock of each part that still cools, and the earliest day of cooking.

FDA Food Code 2022, 3-501.14(A) (cooling), 3-501.17(A) (7 days, the day of preparation being day 1; mixed food keeps
the day of what was prepared first).
"""

from datetime import timedelta

import pytest

from tests.support.cast import DAY, changed, entry, moment
from tests.support.story import found, hot_tray, on_day, out, read, told, verdict_of

COLD = [("70", "13:00"), ("41", "15:00")]


def cooled(temperature, at, batch="A-B1"):
    return entry("cooling_reading", at=at, temperature=temperature, batch=batch)


def tray(*, birds="5", at="12:30", to="chilled", batch="A-B1", **fields):
    """A tray known hot at 12:00, all of it chilled (or prepared) into a batch."""
    return [*hot_tray(), read("140", "12:00"), out(birds, at, to, batch=batch, **fields)]


def made(at, *, birds="5", batch="A-B1", into="A-B2", **fields):
    return entry("batch_out", at=at, batch=batch, birds=birds, to="prepared", into=into, **fields)


def read_all(readings, batch="A-B1"):
    return [cooled(*one, batch=batch) for one in readings]


def batch_of(entries, name="A-B2", **options):
    return next(batch for batch in told(entries, **options).batches if batch.batch == name)


def stages(entries, name="A-B2", **options):
    batch = batch_of(entries, name, **options)
    return tuple(stage and (str(stage.verdict), stage.due_at) for stage in (batch.first_stage, batch.total))


def test_prepared_from_a_tray_and_kept_cold_is_judged_like_any_batch():
    entries = tray(to="prepared", product="salad", temperature="90", unit="F", probe="blue")
    assert stages(entries, "A-B1", as_of="13:00") == (("pending", moment("14:00")), ("pending", moment("18:00")))
    assert verdict_of(told([*entries, cooled("80", "14:05")]), "cool.first_stage") == "not_met"
    assert batch_of(entries, "A-B1").product == "salad"


def test_the_temperature_given_when_it_was_prepared_is_a_cooling_reading():
    entries = tray(at="13:50", to="prepared", temperature="69", unit="F", probe="blue")
    assert stages(entries, "A-B1", as_of="15:00")[0] == ("met", moment("14:00"))


def test_without_a_batch_it_was_used_at_once():
    day = told([*hot_tray(), out("5", "12:30", "prepared")])
    assert (day.batches, day.birds.prepared, day.birds.left) == ((), 5, 0)


def test_made_only_of_what_was_cold_it_has_no_stages_and_is_in_cold_storage():
    entries = [*tray(), *read_all(COLD), made("16:00", product="salad")]
    assert stages(entries) == (None, None)
    assert verdict_of(told([*entries, cooled("42", "16:00", "A-B2")]), "cold.temperature") == "not_met"
    assert verdict_of(told([*entries, cooled("41", "17:00", "A-B2")]), "cold.temperature") == "none"


@pytest.mark.parametrize(
    ("readings", "first", "total"),
    [
        ([], ("pending", "14:00"), ("pending", "18:00")),
        ([("70", "13:00")], ("met", "14:00"), ("pending", "18:00")),
    ],
    ids=["before its first mark", "after its first mark"],
)
def test_made_of_what_still_cools_it_takes_that_clock(readings, first, total):
    found_stages = stages([*tray(), *read_all(readings), made("13:30")], as_of="13:40")
    assert found_stages == tuple((verdict, moment(due)) for verdict, due in (first, total))


def test_a_stage_met_before_stays_met_in_what_is_made_of_it():
    entries = [*tray(), *read_all([("70", "13:00")]), made("13:30"), cooled("75", "14:30", "A-B2")]
    assert stages(entries, as_of="14:40")[0] == ("met", moment("14:00"))


def test_a_hot_reading_before_it_was_made_moved_the_start_with_it():
    entries = [*tray(), cooled("135", "12:40"), made("13:30")]
    assert batch_of(entries, as_of="13:40").started_at == moment("12:40")


@pytest.mark.parametrize(
    ("made_at", "readings", "verdict", "due"),
    [
        ("13:59", [("70", "14:00")], "met", "14:00"),
        ("13:59", [("70.1", "14:00")], "not_met", "14:00"),
        ("14:30", [("60", "14:30")], "not_shown", "14:30"),
        ("14:30", [("71", "14:40")], "not_met", "14:30"),
        ("14:30", [], "not_shown", "14:30"),
    ],
    ids=["at the mark", "above it", "late, and cold when it is made", "late and warm", "late and not read"],
)
def test_no_stage_falls_due_before_its_part_went_in_nor_is_it_met_by_that(made_at, readings, verdict, due):
    entries = [*tray(), made(made_at), *read_all(readings, "A-B2")]
    assert stages(entries, as_of="15:00")[0] == (verdict, moment(due))


def test_its_findings_begin_when_they_fall_due_in_the_new_batch():
    *_, opener = entries = [*tray(), made("14:30")]
    finding = next(f for f in found(told(entries), "cool.first_stage") if f.subject.name == "A-B2")
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (opener.root,))


SECOND = {"load": "A-L2", "tray": "A-T2"}


def second_tray(at, *, hot_at="13:30", to="chilled", **fields):
    """Another tray, known hot at `hot_at`, added to the batch at `at`."""
    tray = [
        changed(e, **{name: value for name, value in SECOND.items() if getattr(e, name, None)})
        for e in hot_tray(pulled="13:20", probed_at="13:15")
    ]
    return [*tray, read("140", hot_at, tray="A-T2"), out("5", at, to, "A-T2", batch="A-B1", **fields)]


@pytest.mark.parametrize(
    ("readings", "as_of", "first"),
    [
        ([("70", "13:00")], "14:00", ("pending", "15:30")),
        ([("70", "13:00"), ("100", "14:30")], "14:40", ("pending", "15:30")),
        ([("70", "13:00"), ("71", "15:30")], "15:40", ("not_met", "15:30")),
        ([("70", "13:00"), ("70", "15:30")], "15:40", ("met", "15:30")),
        ([("90", "13:00")], "14:10", ("not_shown", "14:00")),
        ([("90", "13:00"), ("70", "15:00")], "15:40", ("not_shown", "14:00")),
        ([("90", "13:00"), ("70", "13:55")], "15:40", ("met", "15:30")),
    ],
    ids=[
        "met before: the new part's clock judges",
        "what was met stays met",
        "the new part is late",
        "the new part is in time",
        "the old part is not shown",
        "a late reading does not cure the old part",
        "one reading shows both",
    ],
)
def test_each_part_of_a_batch_added_to_has_its_own_clock(readings, as_of, first):
    entries = [*tray(), *second_tray("13:50"), *read_all(readings)]
    assert stages(entries, "A-B1", as_of=as_of)[0] == (first[0], moment(first[1]))


def test_a_temperature_given_with_what_is_added_moves_only_that_clock():
    entries = [*tray(), *second_tray("13:50", temperature="136", unit="F", probe="blue")]
    batch = batch_of(entries, "A-B1", as_of="13:55")
    assert (batch.started_at, batch.first_stage.due_at) == (moment("12:00"), moment("14:00"))


def test_what_is_added_to_cold_storage_cools_by_itself_and_is_not_called_warm():
    entries = [*tray(), *read_all(COLD), *second_tray("15:10", hot_at="15:00"), cooled("60", "16:30")]
    day = told(entries, as_of="16:40")
    assert stages(entries, "A-B1", as_of="16:40") == (("met", moment("17:00")), ("pending", moment("21:00")))
    assert not found(day, "cold.temperature")
    assert found(told([*entries, cooled("41", "18:00"), cooled("42", "19:00")]), "cold.temperature")


def test_birds_that_go_to_and_fro_between_batches_keep_their_clock():
    entries = [*tray(), made("12:40", birds="3"), made("12:50", birds="1", batch="A-B2", into="A-B1")]
    assert stages(entries, "A-B1", as_of="13:00")[0] == ("pending", moment("14:00"))
    assert stages(entries, "A-B2", as_of="13:00")[0] == ("pending", moment("14:00"))


def test_the_sum_of_time_out_goes_along():
    entries = [*hot_tray(), read("130", "11:00"), read("140", "11:10"), out("5", "11:20", "chilled", batch="A-B1")]
    entries += [cooled("41", "13:00"), made("14:00")]
    entries += [entry("reheat_started", at="15:00", batch="A-B2", birds="5")]
    entries += [entry("reheat_reading", at="16:00", temperature="170"), entry("reheat_done", at="16:05", birds="5")]
    assert {tray.tray: tray.out_of_temperature_s for tray in told(entries).trays}["A-T2"] == 40 * 60


# ---- the day of cooking ----------------------------------------------------------------------------------------------


def late_day(number, clock="20:00", *entries):
    return told([*tray(), *read_all(COLD), *entries], day=DAY + timedelta(days=number), as_of=on_day(clock, number))


def test_the_day_of_cooking_is_the_earliest_of_what_went_in():
    day = late_day(3, "20:00", made(on_day("10:00", 3)))
    assert {batch.batch: batch.use_by for batch in day.batches}["A-B2"] == DAY + timedelta(days=6)


@pytest.mark.parametrize(
    ("made_at", "onset"),
    [(on_day("10:00", 6), on_day("04:00", 7)), (on_day("10:00", 7), on_day("10:00", 7))],
    ids=["made in time: the start of day 8", "made late: when it went in"],
)
def test_the_date_passes_at_the_start_of_day_8_or_when_it_went_in(made_at, onset):
    findings = found(late_day(7, "20:00", made(made_at)), "date_mark.passed")
    assert {finding.subject.name: finding.onset_at for finding in findings}["A-B2"] == onset


def test_what_is_made_in_time_and_gone_in_time_is_not_past_its_date():
    gone = entry("batch_out", at=on_day("23:00", 6), batch="A-B2", birds="5", to="served_cold")
    assert not found(late_day(7, "20:00", made(on_day("10:00", 6)), gone), "date_mark.passed")


def test_a_batch_stands_where_what_it_was_made_of_stood():
    entries = [*tray(cold_unit="walk-in"), *read_all(COLD), made("16:00")]
    assert batch_of(entries).cold_unit == "walk-in"
