"""Lethality: the FSIS tables as printed, what a record shows of them, and the integral at its published points."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.kinds import Temperature
from app.rules.facts import Verdict
from app.rules.lethality import tables as lethality
from app.rules.lethality.conditions import HumidityRecord, conditions, judge_come_up, judge_humidity
from app.rules.lethality.conditions import HumidityWay as Way
from app.rules.lethality.tables import Record, Species

START = datetime(2026, 5, 1, 15, 0, tzinfo=UTC)
CHICKEN, TURKEY, OTHER = Species.CHICKEN, Species.TURKEY, Species.OTHER

# USDA FSIS Cooking Guideline (Revised Appendix A), December 2021: tables 3 and 4; `None` is unknown fat.
TABLE_CASES = [
    ("chicken, 1 % fat, 160 °F", CHICKEN, "160", "1", "13.7"),
    ("chicken, 12 % fat, 145 °F: 13 min", CHICKEN, "145", "12", "780"),
    ("chicken, fat unknown, 150 °F: 4.2 min of the 12 % column", CHICKEN, "150", None, "252"),
    ("chicken, 20 % fat: the 12 % column", CHICKEN, "150", "20", "252"),
    ("turkey, 1 % fat, 164 °F", TURKEY, "164", "1", "11.1"),
    ("chicken, 7 % fat, 162 °F: not 0", CHICKEN, "162", "7", "9.6"),
    ("chicken, 6 % fat, 162 °F", CHICKEN, "162", "6", "0"),
    ("chicken and turkey, 5 % fat, 155 °F: the longer of 47.7 s and 1.2 min", OTHER, "155", "5", "72"),
    ("first row, 136 °F: 63.3 min", CHICKEN, "136", "1", "3798"),
    ("last row", TURKEY, "165", "12", "0"),
    ("hotter than the last row", TURKEY, "180", "12", "0"),
    ("between rows: the lower", CHICKEN, "160.9", "1", "13.7"),
    ("minutes up to a row", CHICKEN, "154", "5", "60"),
    ("seconds beside them", CHICKEN, "154", "4", "59.1"),
    ("quirk: 151 °F, 1 % fat, 2.1 min", CHICKEN, "151", "1", "126"),
    ("quirk: 151 °F, 2 % fat, 2 min", CHICKEN, "151", "2", "120"),
    ("between two columns: the longer", CHICKEN, "151", "1.5", "126"),
    ("leaner than the first column", CHICKEN, "151", "0.5", "126"),
    ("quirk: turkey 150 °F, 1 % fat, 3.8 min", TURKEY, "150", "1", "228"),
    ("quirk: turkey 150 °F, 2 % fat, 3.7 min", TURKEY, "150", "2", "222"),
]

# AMI Foundation process lethality worksheet, lean ground beef, 2 % fat, every 0.5 min: reference 150 °F, z 10 °F,
# D 0.172 min.
AMI_CORE_F = [40, 64, 82, 97, 113, 128, 138, 142, 145, 148, 145, 140, 137, 136, 135, 134]
AMI_CUMULATIVE_MIN = [0, 0, 0, 0, 0, 0.002, 0.019, 0.074, 0.193, 0.430, 0.667, 0.771, 0.808, 0.831, 0.849, 0.863]

# UK FSA / ACMSF list of equivalents to 70 °C for 2 min, beside z = 7.5 °C (computed): °C, minutes listed, by z.
UK_EQUIVALENTS = [
    ("60 °C", 60, 45.0, 43.1),
    ("65 °C", 65, 10.0, 9.28),
    ("75 °C", 75, 0.5, 0.431),
    ("80 °C", 80, 0.1, 0.0928),
]


def _humidity(way: Way, **figures: str) -> HumidityRecord:
    return HumidityRecord(way=way, **{name: Decimal(figure) for name, figure in figures.items()})


# FSIS 2021, conditions beside the tables (the figures in the records are invented).
HUMIDITY_CASES = [
    ("90 % for a quarter of 5 h", _humidity(Way.HUMID_PART, cook_min="300", humid_min="75"), Verdict.MET),
    ("90 % for less of 5 h", _humidity(Way.HUMID_PART, cook_min="300", humid_min="74"), Verdict.NOT_MET),
    ("90 % for a quarter of 2 h", _humidity(Way.HUMID_PART, cook_min="120", humid_min="30"), Verdict.NOT_MET),
    ("90 % for an hour of 2 h", _humidity(Way.HUMID_PART, cook_min="120", humid_min="60"), Verdict.MET),
    ("the whole of a cook under an hour", _humidity(Way.HUMID_PART, cook_min="50", humid_min="50"), Verdict.MET),
    ("less than a cook under an hour", _humidity(Way.HUMID_PART, cook_min="50", humid_min="49"), Verdict.NOT_MET),
    ("cooking time not recorded", _humidity(Way.HUMID_PART, humid_min="90"), Verdict.NOT_SHOWN),
    ("humid time not recorded", _humidity(Way.HUMID_PART, cook_min="90"), Verdict.NOT_SHOWN),
    ("over the flame", _humidity(Way.DIRECT_HEAT), Verdict.MET),
    ("moist by itself", _humidity(Way.MOIST_COOKING), Verdict.MET),
    ("10 lb in an oven of 250 °F", _humidity(Way.LARGE_PRODUCT, weight_lb="10", oven_f="250"), Verdict.MET),
    ("9.9 lb", _humidity(Way.LARGE_PRODUCT, weight_lb="9.9", oven_f="250"), Verdict.NOT_MET),
    ("oven not recorded", _humidity(Way.LARGE_PRODUCT, weight_lb="12"), Verdict.NOT_SHOWN),
]

COME_UP_CASES = [
    ("50 to 130 °F in 6 h", [(0, "50"), (360, "130")], Verdict.MET),
    ("50 to 130 °F in 6 h 10", [(0, "50"), (370, "130")], Verdict.NOT_MET),
    ("over 50 to under 130 °F for 6 h 10", [(0, "55"), (370, "120")], Verdict.NOT_MET),
    ("the crossings fell between readings", [(0, "45"), (30, "55"), (350, "125"), (380, "140")], Verdict.NOT_SHOWN),
    ("first reading already over 50 °F", [(0, "60"), (60, "135")], Verdict.NOT_SHOWN),
    ("not up yet", [(0, "40"), (60, "100")], Verdict.NOT_SHOWN),
    ("cooling afterwards does not count", [(0, "40"), (60, "150"), (600, "60")], Verdict.MET),
    ("no readings", [], Verdict.NOT_SHOWN),
]


def _record(points: list[tuple[float, str]], unit: str = "F") -> Record:
    return [(START + timedelta(minutes=minute), Temperature(Decimal(value), unit)) for minute, value in points]


def _shown(record: Record, row_f: int, **options: Decimal) -> lethality.RowShown:
    rows = lethality.rows_shown(record, species=CHICKEN, **options)
    return next(row for row in rows if row.temperature_f == row_f)


def _ami(points: int) -> float:
    record = _record([(index * 0.5, str(core)) for index, core in enumerate(AMI_CORE_F[:points])])
    return lethality.integral_min(record, reference=Temperature(Decimal(150), "F"), z=Decimal(10))


@pytest.mark.parametrize(("label", "species", "fahrenheit", "fat", "seconds"), TABLE_CASES)
def test_row_of_the_tables(label: str, species: Species, fahrenheit: str, fat: str | None, seconds: str) -> None:
    percent = None if fat is None else Decimal(fat)
    assert lethality.required_dwell_s(species, Decimal(fahrenheit), percent) == Decimal(seconds), label


def test_no_row_below_136() -> None:
    # A widely copied chart prints the 63.3 min against 135 °F: an indexing error.
    assert lethality.required_dwell_s(CHICKEN, Decimal("135.9"), None) is None


@pytest.mark.parametrize("species", [CHICKEN, TURKEY])
def test_tables_are_whole(species: Species) -> None:
    table = lethality.table(species)
    assert list(table.rows) == list(range(136, 166))
    assert {len(row) for row in table.rows.values()} == {12}
    assert table.log_reduction == 7


@pytest.mark.parametrize("species", [CHICKEN, TURKEY])
@pytest.mark.parametrize("column", range(12))
def test_hotter_is_never_longer(species: Species, column: int) -> None:
    times = [row[column] for row in lethality.table(species).rows.values()]
    assert times == sorted(times, reverse=True)


@pytest.mark.parametrize("fat", ["-1", "100.1"])
def test_fat_that_cannot_be_is_refused(fat: str) -> None:
    with pytest.raises(ValueError, match="percent"):
        lethality.required_dwell_s(CHICKEN, Decimal(150), Decimal(fat))


def test_guard_band_is_the_accuracy_of_the_device() -> None:
    # FSIS 2021: with a device of ±1 °F and a need of 165 °F the limit is no lower than 166 °F.
    assert lethality.operating_limit_f(Decimal(165), Decimal(1)) == 166


def test_time_at_a_row_runs_from_its_first_reading_to_its_last() -> None:
    row = _shown(_record([(0, "149"), (5, "150"), (7, "152"), (9.2, "150"), (10, "149.9")]), 150)
    assert (row.required_s, row.shown_s, row.met) == (Decimal(252), Decimal(252), True)


def test_a_second_too_little_is_not_met() -> None:
    row = _shown(_record([(0, "150"), (251 / 60, "150")]), 150)
    assert (row.shown_s, row.met) == (Decimal(251), False)


def test_a_reading_below_the_row_breaks_the_time() -> None:
    row = _shown(_record([(0, "150"), (3, "151"), (4, "149.9"), (5, "151"), (8, "150")]), 150)
    assert (row.shown_s, row.met) == (Decimal(180), False)


def test_one_reading_shows_a_row_without_dwell_only() -> None:
    record = _record([(0, "163")])
    assert _shown(record, 163).met
    assert not _shown(record, 162).met


def test_no_reading_at_a_row_shows_nothing() -> None:
    assert _shown(_record([(0, "135.9")]), 136).shown_s is None


def test_accuracy_comes_off_every_reading() -> None:
    record = _record([(0, "165.9")])
    assert not _shown(record, 165, accuracy_f=Decimal(1)).met
    assert _shown(_record([(0, "166")]), 165, accuracy_f=Decimal(1)).met


def test_celsius_is_converted_exactly() -> None:
    # 61.1 °C is printed beside 142 °F, but is 141.98 °F.
    assert _shown(_record([(0, "61.1")], "C"), 142).shown_s is None
    assert _shown(_record([(0, "60")], "C"), 140).shown_s == 0


def test_order_of_the_record_does_not_matter() -> None:
    record = _record([(0, "150"), (3, "151"), (5, "150")])
    assert lethality.rows_shown([*record][::-1], species=CHICKEN) == lethality.rows_shown(record, species=CHICKEN)


def test_best_row_is_the_hottest_met() -> None:
    best = lethality.best_row(lethality.rows_shown(_record([(0, "140"), (36, "150"), (41, "151")]), species=CHICKEN))
    assert best is not None
    assert (best.temperature_f, best.met) == (Decimal(150), True)


def test_best_row_is_the_nearest_when_none_is_met() -> None:
    best = lethality.best_row(lethality.rows_shown(_record([(0, "140"), (20, "150"), (22, "150")]), species=CHICKEN))
    assert best is not None
    assert (best.temperature_f, best.met) == (Decimal(140), False)


def test_no_best_row_without_a_reading_at_one() -> None:
    assert lethality.best_row(lethality.rows_shown(_record([(0, "100")]), species=CHICKEN)) is None


@given(
    st.lists(st.tuples(st.floats(0, 120), st.integers(1300, 1700)), min_size=1, max_size=8, unique_by=lambda p: p[0])
)
def test_a_later_hot_reading_never_shows_less(points: list[tuple[float, int]]) -> None:
    record = _record([(minute, str(Decimal(tenths) / 10)) for minute, tenths in points])
    more = [*record, *_record([(121, "180")])]
    before, after = (lethality.rows_shown(each, species=CHICKEN) for each in (record, more))
    assert all((b.shown_s or 0) <= (a.shown_s or 0) for b, a in zip(before, after, strict=True))


@pytest.mark.parametrize("points", range(1, 17))
def test_integral_at_the_published_points(points: int) -> None:
    assert _ami(points) == pytest.approx(AMI_CUMULATIVE_MIN[points - 1], abs=1e-3)


def test_integral_of_the_worksheet_in_logs() -> None:
    assert _ami(16) == pytest.approx(0.8628, abs=1e-4)
    assert _ami(16) / 0.172 == pytest.approx(5.02, abs=0.01)


def test_general_method_with_the_canning_figures() -> None:
    # Published canning table (121.1 °C, z 10 °C): lethal rates sum to 2.925 at steps of 5 min, F = 14.6 min. Only the
    # sum is published; it is spread evenly over nine inner points here, with ends too cold to count.
    inner = 121.1 + 10 * log10(2.925 / 9)
    record = _record([(0, "0"), *((5 * step, f"{inner:.9f}") for step in range(1, 10)), (50, "0")], "C")
    minutes = lethality.integral_min(record, reference=Temperature(Decimal("121.1"), "C"), z=Decimal(10))
    assert minutes == pytest.approx(14.625, abs=1e-3)


@pytest.mark.parametrize(("label", "celsius", "listed_min", "by_z_min"), UK_EQUIVALENTS)
def test_rate_against_the_uk_list(label: str, celsius: int, listed_min: float, by_z_min: float) -> None:
    reference = Temperature(Decimal(70), "C")
    rate = lethality.lethal_rate(Temperature(Decimal(celsius), "C"), reference=reference, z=Decimal("7.5"))
    assert 2 / rate == pytest.approx(by_z_min, rel=2e-3), label
    assert listed_min >= 2 / rate, label


@pytest.mark.parametrize(("fahrenheit", "by_z_s", "table_s"), [(155, 43.3, "44.2"), (150, 137, "162")])
def test_one_z_does_not_return_the_table(fahrenheit: int, by_z_s: float, table_s: str) -> None:
    # Chicken, 1 % fat, pinned at 160 °F / 13.7 s with z 10 °F: computed; the table asks for more.
    reference = Temperature(Decimal(160), "F")
    rate = lethality.lethal_rate(Temperature(Decimal(fahrenheit), "F"), reference=reference, z=Decimal(10))
    assert 13.7 / rate == pytest.approx(by_z_s, rel=2e-3)
    assert lethality.required_dwell_s(CHICKEN, Decimal(fahrenheit), Decimal(1)) == Decimal(table_s)


def test_published_kinetics_agree_with_their_other_end() -> None:
    # Murphy et al. 2004: D 43.76 min (skin) and 43.33 min (meat) at 55 °C; a straight line in log D comes within 5 %.
    for kinetics, at_55_min in zip(lethality.published_kinetics(), (43.76, 43.33), strict=True):
        rate = lethality.lethal_rate(Temperature(Decimal(55), "C"), reference=kinetics.reference, z=kinetics.z)
        assert float(kinetics.d_min) / rate == pytest.approx(at_55_min, rel=0.05)


def test_log_reduction_is_time_by_d() -> None:
    # Two minutes at 70 °C (158 °F) with D 0.09 min there.
    skin = lethality.published_kinetics()[0]
    assert lethality.log_reduction(_record([(0, "158"), (2, "158")]), skin) == pytest.approx(2 / 0.09)


@pytest.mark.parametrize(("label", "points", "expected"), COME_UP_CASES)
def test_come_up_takes_six_hours_at_most(label: str, points: list[tuple[float, str]], expected: Verdict) -> None:
    assert judge_come_up(_record(points)) is expected, label


@pytest.mark.parametrize(("label", "recorded", "expected"), HUMIDITY_CASES)
def test_humidity(label: str, recorded: HumidityRecord, expected: Verdict) -> None:
    assert judge_humidity(recorded) is expected, label


def test_every_way_that_a_plan_may_name_is_published() -> None:
    assert set(conditions()["humidity"]) == set(Way)
