"""The plan: reading settings, what may be adopted, and which value holds on which day."""

from datetime import time
from decimal import Decimal

import pytest

from app.kinds import Temperature
from app.rules.plans import adoption, plan
from app.rules.plans import limits as plan_limits
from app.rules.plans import settings as plan_settings
from tests.support.cast import DAY, OPENED

CODES = (
    *("anz_3_2_2", "ca_whole_bird", "england_2013", "ontario_493_17", "scotland_2006"),
    *("us_food_code_2013", "us_food_code_2017", "us_food_code_2022"),
)
KINDS = {"law", "model_code", "guidance", "house"}


def of(code, **settings):
    return plan.resolve(plan.Adopted(1, code, tuple(settings.items()), "pat", OPENED), DAY)


def refusal(name, text, *, code="us_food_code_2022", **options):
    with pytest.raises(plan_settings.PlanRefused) as refused:
        adoption.check_adoption(code, {name: text}, on=DAY, **options)
    return refused.value.name, refused.value.code


def test_a_plan_adopted_under_the_old_name_of_a_code_goes_on():
    assert of("uk_2013").limits == of("england_2013").limits
    assert of("uk_2013").code == "uk_2013"
    assert plan.now_called("uk_2013") == "england_2013"
    assert "uk_2013" not in plan.codes()


def test_the_codes_are_those_in_the_folder():
    assert plan.codes() == CODES


@pytest.mark.parametrize("code", CODES)
def test_every_value_of_a_code_says_where_it_comes_from_and_what_it_is(code):
    for name in plan_settings.SETTINGS:
        origin = of(code).sources[name]
        assert origin.kind in KINDS, name
        assert origin.source, name
        assert "memory" not in origin.source


# A target lies above the limit in either unit; at the limit it is the limit. ca_whole_bird: Health Canada, 82 °C.
@pytest.mark.parametrize(
    ("code", "target", "refused"),
    [
        ("us_food_code_2022", "180F/82C", None),
        ("us_food_code_2022", "165F/74C", None),
        ("us_food_code_2022", "164.9F/74C", ("cook_target", "under_limit")),
        ("us_food_code_2022", "165F/73.9C", ("cook_target", "under_limit")),
        ("ca_whole_bird", "165F/74C", ("cook_target", "under_limit")),
        ("us_food_code_2022", "180F", ("cook_target", "type")),
    ],
)
def test_a_target_is_not_under_the_limit(code, target, refused):
    if refused is None:
        adoption.check_adoption(code, {"cook_target": target}, on=DAY)
    else:
        assert refusal("cook_target", target, code=code) == refused


@pytest.mark.parametrize("code", CODES)
def test_every_code_gives_three_bands_and_dispositions_for_every_rule(code):
    own = of(code)
    assert tuple(own.bands) == ("under_2h", "from_2h", "from_4h")
    assert all("discard" in band.dispositions and "discarded" in band.ways_out for band in own.bands.values())
    assert own.dispositions == of("us_food_code_2022").dispositions


# Where a source prints °C alone, the °F value is the exact conversion; none of those in the files needs rounding.
# FDA Food Code and the chart of Durham Region print both, not exact conversions of each other.
@pytest.mark.parametrize("code", ["anz_3_2_2", "england_2013"])
def test_fahrenheit_values_of_a_code_that_prints_celsius_are_exact(code):
    limits = of(code).limits
    names = ("hot_holding", "cool_first", "cool_total", "cold_holding", "receive_cold", "reheat_core")
    for limit in (getattr(limits, name) for name in names):
        assert limit.F == limit.C * 9 / 5 + 32
    assert limits.probe_tolerance_f == limits.probe_tolerance_c * 9 / 5


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("hot_holding", "140F/60C", plan_limits.TemperatureLimit(Decimal(140), Decimal(60))),
        ("hot_holding", " 145.4f/63c ", plan_limits.TemperatureLimit(Decimal("145.4"), Decimal(63))),
        ("cook_dwell_s", "0", 0),
        ("date_mark_days", "4", 4),
        ("probe_tolerance_c", "0.5", Decimal("0.5")),
        ("day_starts", "05:30", time(5, 30)),
        ("places_per_bird", "breast, thigh,breast", ("breast", "thigh")),
        ("controls", "cooking,holding", frozenset({"cooking", "holding"})),
        ("controls", "", frozenset()),
        ("start_checks", "water,drip-tray", ("water", "drip-tray")),
        ("time_control_procedure", " TC-1, folder by the pass ", "TC-1, folder by the pass"),
    ],
)
def test_a_setting_is_read(name, text, value):
    assert plan_settings.parse_setting(name, text) == value


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("cook_cores", "165F/74C", "unknown"),
        ("cook_core", "165", "type"),
        ("cook_core", "74C/165F", "type"),
        ("cook_core", "165F/", "type"),
        ("cook_core", "hotF/hotC", "type"),
        ("cook_core", "NaNF/74C", "type"),
        ("cook_core", "165.001F/74C", "type"),
        ("cook_core", "700F/371C", "range"),
        ("cook_core", "165F/76C", "differs"),
        ("cook_dwell_s", "-1", "type"),
        ("cook_dwell_s", "15.0", "type"),
        ("cook_dwell_s", "١٥", "type"),
        ("cook_dwell_s", "86401", "range"),
        ("birds_checked_per_spit", "0", "range"),
        ("check_interval_min", "0", "range"),
        ("check_interval_min", "", "type"),
        ("date_mark_days", "367", "range"),
        ("probe_tolerance_f", "0", "range"),
        ("probe_tolerance_f", "11", "range"),
        ("day_starts", "4 am", "type"),
        ("day_starts", "x4:00", "type"),
        ("day_starts", "04:0x", "type"),
        ("day_starts", "04:000", "type"),
        ("day_starts", "24:00", "range"),
        ("places_per_bird", "wing", "unknown"),
        ("places_per_bird", "", "missing"),
        ("controls", "roasting", "unknown"),
        ("start_checks", "<b>water</b>", "type"),
        ("time_control_procedure", "two\nlines", "type"),
    ],
)
def test_a_bad_setting_says_why(name, text, code):
    assert refusal(name, text) == (name, code)


def test_a_setting_that_cannot_be_read_is_refused_also_with_a_variance():
    assert refusal("cook_core", "hot", variance="V-12") == ("cook_core", "type")


def test_an_unknown_code_is_refused():
    for name in ("us_food_code_1999", "house", "lethality", "../house"):
        with pytest.raises(plan_settings.PlanRefused) as refused:
            adoption.check_adoption(name, {}, on=DAY)
        assert (refused.value.name, refused.value.code) == ("code", "unknown")


STRICTER = [
    ("cook_core", "180F/82C", "164F/73C"),
    ("cook_dwell_s", "15", None),
    ("hot_holding", "140F/60C", "134.9F/57C"),
    ("time_control_min", "180", "241"),
    ("time_control_ways", "served", "served, prepared"),
    ("cool_first", "69F/20C", "70.1F/21C"),
    ("cool_first_min", "119", "121"),
    ("cool_total_min", "240", "361"),
    ("cold_holding", "40F/4C", "41F/5.1C"),
    ("reheat_core", "170F/76C", "165F/73.9C"),
    ("reheat_dwell_s", "20", "14"),
    ("reheat_min", "90", "121"),
    ("receive_cold", "39F/4C", "45F/7C"),
    ("probe_tolerance_c", "0.5", "1.01"),
    ("probe_tolerance_f", "1", "2.5"),
    ("date_mark_days", "4", "8"),
]


@pytest.mark.parametrize(("name", "stricter", "looser"), STRICTER)
def test_a_site_may_be_stricter_than_the_code(name, stricter, looser):
    adoption.check_adoption("us_food_code_2022", {name: stricter}, on=DAY)
    assert plan_settings.parse_setting(name, stricter) == getattr(
        of("us_food_code_2022", **{name: stricter}).limits, name
    )


@pytest.mark.parametrize(("name", "stricter", "looser"), [case for case in STRICTER if case[2]])
def test_a_site_may_be_looser_only_with_a_named_variance(name, stricter, looser):
    assert refusal(name, looser) == (name, "looser")
    assert refusal(name, looser, variance="") == (name, "looser")
    adoption.check_adoption("us_food_code_2022", {name: looser}, on=DAY, variance="V-12")


def test_looser_in_one_unit_is_looser():
    assert refusal("cook_core", "166F/73.9C") == ("cook_core", "looser")


def test_the_codes_own_value_is_neither_looser_nor_refused():
    for code in CODES:
        limits = of(code).limits
        adoption.check_adoption(code, {"cook_core": f"{limits.cook_core.F}F/{limits.cook_core.C}C"}, on=DAY)


@pytest.mark.parametrize(
    ("name", "text"),
    [("birds_checked_per_spit", "1"), ("check_interval_min", "240"), ("grace_min", "60"), ("band_reheat_min", "200")],
)
def test_house_values_are_the_sites_to_set(name, text):
    adoption.check_adoption("us_food_code_2022", {name: text}, on=DAY)


def test_guidance_is_not_loosened_without_a_variance_either():
    assert refusal("band_discard_min", "241", code="anz_3_2_2") == ("band_discard_min", "looser")
    assert refusal("cook_core", "165F/74C", code="ca_whole_bird") == ("cook_core", "looser")


@pytest.mark.parametrize("code", CODES)
def test_the_first_band_ends_before_the_last(code):
    assert refusal("band_reheat_min", "241", code=code, variance="V-12") == ("band_reheat_min", "range")


def test_a_first_stage_longer_than_a_total_counted_from_the_start_is_refused():
    settings = {"cool_total_min": "100"}
    with pytest.raises(plan_settings.PlanRefused) as refused:
        adoption.check_adoption("us_food_code_2022", settings, on=DAY)
    assert (refused.value.name, refused.value.values["high"]) == ("cool_first_min", 100)
    adoption.check_adoption("anz_3_2_2", settings, on=DAY)  # a further 100 minutes


def test_what_the_site_set_is_marked_as_the_sites():
    own = of("us_food_code_2022", hot_holding="140F/60C")
    assert (own.sources["hot_holding"].kind, own.sources["hot_holding"].house_set) == ("house", True)
    assert not own.sources["cook_core"].house_set


def test_a_named_procedure_opens_the_second_band_for_serving_in_the_us_plan_alone():
    named = {"time_control_procedure": "TC-1"}
    assert of("us_food_code_2022", **named).bands["from_2h"].ways_out == ("discarded", "served")
    assert of("england_2013", **named).bands["from_2h"].ways_out == ("discarded",)
    assert of("anz_3_2_2", **named).bands["from_2h"] == of("anz_3_2_2").bands["from_2h"]


def test_a_limit_is_met_at_its_value_and_from_its_own_side():
    low = plan_limits.TemperatureLimit(Decimal(135), Decimal(57))
    assert low.at_or_above(Temperature(Decimal("135.00"), "F"))
    assert low.at_or_below(Temperature(Decimal("57"), "C"))
    assert not low.at_or_above(Temperature(Decimal("56.99"), "C"))
    assert (low.in_unit("F"), low.in_unit("C")) == (135, 57)
