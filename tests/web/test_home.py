"""The first page: what needs doing now, the most urgent first, read off the day's assessment."""

from collections.abc import Callable
from datetime import datetime

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, loaded, low_reading, pulled

SetClock = Callable[[datetime | str], None]


def cool_unit(at: str, unit: str = "pass") -> dict[str, object]:
    """A hot-holding unit read under 135 °F."""
    return cast.draft("unit_check", at=at, unit_code=unit, temperature="128")


def cool_check() -> list[dict[str, object]]:
    """The cold units checked this morning, so that nothing but food presses."""
    return [cast.draft("unit_check", at="06:40"), cast.draft("unit_check", at="06:41", unit_code="blast")]


def test_an_empty_kitchen_offers_to_start_a_load(cook: Browser) -> None:
    page = cook.get("/")
    assert "Nothing is in the ovens or the hot-holding units" in page.words
    assert page.follow("Start a load").path == "/loads/new"


def test_a_spit_to_probe_is_one_tap_away(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    page = cook.get("/")
    assert "Spit 2 bird 1 not probed bird 2 not probed" in page.words
    assert "probe 2 birds" in page.words
    (href,) = {href for href, _said in page.links if href.endswith("spits/2/probe?bird=2")}
    tapped = cook.get(href)
    assert dict(tapped.form("probe?bird=2").fields)["bird"] == "2"


def test_a_probed_spit_is_pulled_in_one_tap(cook: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    page = cook.get("/")
    assert "East oven: pull" in page.words
    assert "ready spit 1" in page.words
    assert page.follow("at the limit: pull").path == "/loads/A-L1/spits/1/pull"


def test_a_load_without_a_forecast_says_how_long_it_cooks_and_by_what_it_goes(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *loaded(), at="09:05")
    set_clock("11:15")
    words = cook.sign_in("cook").get("/").words
    assert "2 h 15 in the oven pending East oven: cooking" in words
    assert "no forecast; no load to compare with, house value 2 h 15 min" in words
    assert "East oven" not in cook.get("/due").words


def test_a_load_without_a_forecast_presses_once_it_is_overlong(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *loaded(), *cool_check(), at="09:05")
    set_clock("13:00")
    words = cook.sign_in("cook").get("/").words
    assert "4 h 00 in the oven pending East oven: probe" in words
    assert "longer than the house value 2 h 15 min, no load to compare with" in words
    assert cook.get("/due").words.startswith("East oven: probe 4 h 00, in the oven")
    page = cook.get("/loads/A-L1").words
    assert "(house: USDA consumer guide, roasting hen of 5 to 7 lb at 350 °F, 2 to 2¼ h)" in page


def test_a_load_without_a_forecast_goes_by_the_loads_of_its_oven_today(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    second = [cast.draft(kind, at="11:00", load="A-L2") for kind in ("load_started", "spit_loaded")]
    keep(database, *low_reading(), *second, at="12:00")  # the first one took from 09:00 to 10:36
    set_clock("12:35")
    assert "no forecast; longest of this oven today 1 h 36 min" in cook.sign_in("cook").get("/").words
    set_clock("12:37")
    assert "longer than any load of this oven today, at most 1 h 36 min" in cook.sign_in("cook").get("/").words


def test_loads_without_a_forecast_stand_in_the_order_in_which_they_press(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    newer = [
        cast.draft("load_started", at="10:00", load="A-L2", oven="west"),
        cast.draft("spit_loaded", at="10:00", load="A-L2"),
    ]
    keep(database, *newer, *loaded(), at="10:05")
    set_clock("10:30")
    words = cook.sign_in("cook").get("/").words
    assert words.index("East oven: cooking") < words.index("West oven: cooking")


def test_a_check_says_how_long_it_has(cook: Browser, database: Database, set_clock: SetClock) -> None:
    # The check is due 90 minutes after the filling at 10:36: at 12:06.
    keep(database, *pulled())
    assert "6 min due 12:06 pending Tray T1: check the temperature" in cook.get("/").words
    set_clock("12:10")
    assert "overdue 4 min due 12:06" in cook.get("/").words


def test_a_check_hours_late_says_what_that_means(cook: Browser, database: Database, set_clock: SetClock) -> None:
    # Filled at 10:36, known hot at 10:31; the house rule of the plan is 2 hours.
    keep(database, *pulled())
    set_clock("16:06")
    unknown = "Temperature unknown since 12:06, last known hot 10:31."
    means = f"{unknown} If now under 135 °F, it was out for up to 5 h 35 min. Then throw away."
    row = cook.sign_in("cook").get("/").words
    assert "overdue 4 h 00 due 12:06" in row
    assert means in row
    band = "Tray T1: check the temperature overdue 4 h 00, unknown since 12:06"
    assert band in cook.get("/due").words
    for page in (cook.get("/trays/A-T1/check"), cook.get("/trays/A-T1")):
        assert "check 4 h late" in page.words
        assert means in page.words


def test_what_broke_a_limit_comes_before_what_is_due(cook: Browser, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    words = cook.get("/").words
    do = "Tray T1: serve, reheat or chill. Throw away at 12:31"
    assert words.index(do) < words.index("1 answer owed")
    assert "out of temperature 1 h 29 min, limit 2 h" in words  # from 10:31, the last known-hot moment


def test_a_probe_used_without_a_passed_check_is_to_be_checked(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), cast.draft("hold_reading", at="11:00", probe="white"))
    page = cook.get("/")
    assert "Probe white Check it before its next reading" in page.words
    assert page.words.index("Probe white") < page.words.index("During the day")


def test_probes_not_used_today_stand_together_among_the_checks(cook: Browser) -> None:
    page = cook.get("/")
    assert "During the day due check pending Probes blue, white and green" in page.words
    assert "Not used today. Check before the first reading." in page.words


def test_a_checked_probe_is_not_asked_for(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    assert "Probes white and green" in cook.get("/").words


def test_cold_units_are_asked_for_as_the_day_goes_on(browser: Browser, database: Database, set_clock: SetClock) -> None:
    # The day runs from 04:00: of two checks the first is asked for from 12:00, the second from 20:00.
    keep(database, *loaded(), at="11:59")
    set_clock("11:59")
    cook = browser.sign_in("cook")
    assert "Cold unit" not in cook.get("/").words
    set_clock("12:00")
    assert "Cold unit walk-in" in cook.get("/").words
    keep(database, cast.draft("unit_check", at="12:01"), at="12:02")
    set_clock("12:05")
    assert "Cold unit walk-in" not in cook.get("/").words


def test_a_second_check_owed_late_in_the_day_comes_first(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    load = [cast.draft("load_started", at="19:30"), cast.draft("spit_loaded", at="19:31")]
    keep(database, *load, cast.draft("unit_check", at="06:40"), cast.draft("unit_check", at="20:00"), at="20:01")
    set_clock("20:02")
    words = cook.sign_in("cook").get("/").words
    assert "Cold unit walk-in" not in words
    assert words.index("Cold unit blast") < words.index("East oven")


def test_the_pages_of_the_checks_are_reached_from_one_name_in_the_header(cook: Browser) -> None:
    checks = cook.get("/").follow("Checks")
    assert {"/probes", "/units", "/deliveries", "/batches"} <= {href for href, _said in checks.links}
    assert '<a href="/checks" aria-current="page">' in cook.get("/units").html


def test_what_cannot_wait_stands_over_every_page(cook: Browser, database: Database, set_clock: SetClock) -> None:
    assert cook.get("/due").words == ""
    keep(database, *pulled())
    assert cook.get("/due").words == "Tray T1: check the temperature 6 min, due 12:06"
    set_clock("12:10")
    assert cook.get("/due").words == "Tray T1: check the temperature overdue 4 min, due 12:06"
    assert 'data-alarm="/due"' in cook.get("/findings").html


def test_there_is_one_main_button(cook: Browser, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    html = cook.get("/").html
    assert html.count("button main") + html.count("wide main") + html.count("spit main") == 1


def test_the_live_part_comes_alone(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    part = cook.get("/", **{"X-Fragment": "live"})
    assert part.words.startswith("What needs doing now")
    assert "<html" not in part.html


def test_an_inspector_begins_at_the_days(browser: Browser) -> None:
    assert browser.sign_in("ines").get("/").path == "/days"


def test_another_kitchen_sees_nothing(browser: Browser, database: Database) -> None:
    keep(database, *loaded())
    other = browser.sign_in("other-cook")
    assert "Nothing is in the ovens" in other.get("/").words
    assert other.get("/loads/A-L1").status == 404


def test_warm_air_asks_for_the_food_within_half_an_hour(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("unit_check", at="11:45", temperature="44"))
    page = cook.get("/")
    assert "15 min check food by pending Cold unit walk-in" in page.words
    assert "Its air is at 44 °F, over 41 °F: check the food in it." in page.words
    (check,) = [href for href, said in page.links if said.strip() == "Check" and "walk-in" in href]
    assert dict(cook.get(check).form().fields)["of"] == "food"


def test_food_read_cold_ends_it(cook: Browser, database: Database) -> None:
    warm = cast.draft("unit_check", at="11:45", temperature="44")
    keep(database, warm, cast.draft("unit_check", at="11:50", of="food", temperature="40"))
    assert "check the food in it" not in cook.get("/").words


def test_a_hot_unit_too_cool_asks_for_a_tray_in_it_within_half_an_hour(cook: Browser, database: Database) -> None:
    # The finding hold.unit is made unless a tray in the unit is read in the next 30 minutes.
    keep(database, *pulled(), cool_unit("11:45"))
    page = cook.get("/")
    assert "Hot-holding unit pass It is at 128 °F, under 135 °F: check a tray in it (T1)." in page.words
    assert "15 min check tray by" in page.words
    assert "/trays/A-T1/check" in {href for href, _said in page.links}


def test_a_tray_read_in_it_ends_it(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), cool_unit("11:45"), cast.draft("hold_reading", at="11:50"))
    assert "check a tray in it" not in cook.get("/").words


def test_a_tray_read_before_the_unit_does_not_end_it(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), cast.draft("hold_reading", at="11:40"), cool_unit("11:45"))
    assert "check a tray in it" in cook.get("/").words


def test_a_unit_read_hot_since_still_asks_for_a_tray(cook: Browser, database: Database) -> None:
    hot = cast.draft("unit_check", at="11:55", unit_code="pass", temperature="150")
    keep(database, *pulled(), cool_unit("11:45"), cool_unit("11:50"), hot)
    words = cook.get("/").words
    assert words.count("check a tray in it") == 1
    assert "15 min check tray by" in words  # of the two the earlier is out of time first


def test_a_cool_unit_without_trays_asks_for_none(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), cool_unit("11:45", unit="cabinet"))
    assert "check a tray in it" not in cook.get("/").words


def test_after_half_an_hour_the_finding_takes_its_place(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *pulled(), cool_unit("11:45"))
    set_clock("12:15")
    words = cook.get("/").words
    assert "check a tray in it" not in words
    assert "1 answer owed" in words


def test_a_load_in_an_oven_that_is_out_says_so(cook: Browser, database: Database) -> None:
    keep(database, *loaded(), cast.draft("equipment_out", at="11:45", code="east"))
    assert "the oven is out of use since 11:45" in cook.get("/").words
    keep(database, cast.draft("equipment_back", at="11:55", code="east"))
    assert "the oven is out of use" not in cook.get("/").words


def test_what_is_out_of_use_is_not_asked_for_as_if_it_were_in_use(cook: Browser, database: Database) -> None:
    out = [cast.draft("equipment_out", at="11:45", code=code) for code in ("blast", "white")]
    keep(database, cast.draft("unit_check", at="06:40"), *out)
    words = cook.get("/").words
    assert "Cold unit blast Out of use." in words
    assert "Probes blue and green" in words
    assert "white" not in words
