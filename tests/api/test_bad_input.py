"""What cannot be, posted about storage, cooling, reheating and probes: one error, at its field, in words."""

from typing import Any

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.api import Api


@pytest.fixture
def kept(api: Api) -> Api:
    """Two birds chilled at 11:00 into batch A-B1, one of them in reheat A-R1; tray A-T2 emptied into nothing."""
    api.keep(
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:00"),
        cast.draft("spit_pulled", at="10:36"),
        cast.draft("tray_out", at="11:00", to="chilled", birds="2", batch="A-B1"),
        cast.draft("reheat_started", at="11:10", birds="1"),
        cast.draft("tray_out", at="11:15", to="chilled", birds="1", batch="A-B2"),
        cast.draft("batch_out", at="11:20", batch="A-B2", birds="1"),
    )
    return api


def _again(**fields: str) -> dict[str, Any]:
    return cast.draft("reheat_started", at="11:30", **{"reheat": "A-R2", **fields})


def _boiling(**fields: str) -> dict[str, Any]:
    return cast.draft("probe_check", at="11:30", method="boiling_point", **fields)


CASES = [
    ("a batch nobody opened", cast.draft("cooling_reading", at="11:30", batch="A-B9"), "batch", "order"),
    ("a batch read before it was chilled", cast.draft("cooling_reading", at="10:50"), "batch", "order"),
    ("a reheat read before its start", cast.draft("reheat_reading", at="11:00"), "reheat", "order"),
    ("more birds reheated than are left", _again(birds="2"), "birds", "order"),
    ("birds reheated that were served", _again(batch="A-B2"), "birds", "order"),
    ("birds into an emptied batch", cast.draft("tray_out", at="11:30", to="chilled", batch="A-B2"), "batch", "order"),
    ("a reheat of that name was there before", cast.draft("reheat_started", at="11:30"), "reheat", "order"),
    ("no birds", cast.draft("batch_out", at="11:30", birds="0"), "birds", "range"),
    ("birds below nothing", cast.draft("batch_out", at="11:30", birds=-1), "birds", "range"),
    ("birds by the power of ten", cast.draft("batch_out", at="11:30", birds="1e5"), "birds", "type"),
    ("a hundred thousand birds", cast.draft("receiving", at="11:30", birds=100000), "birds", "range"),
    ("half a bird delivered", cast.draft("receiving", at="11:30", birds=2.5), "birds", "type"),
    ("full-width digits", cast.draft("cooling_reading", at="11:30", temperature="６５"), "temperature", "type"),
    ("a decimal comma", cast.draft("cooling_reading", at="11:30", temperature="65,5"), "temperature", "type"),
    ("three decimals", cast.draft("cooling_reading", at="11:30", temperature="65.125"), "temperature", "type"),
    ("hotter than any display", cast.draft("cooling_reading", at="11:30", temperature="601"), "temperature", "range"),
    ("inches of mercury", _boiling(pressure_hpa="29.92"), "pressure_hpa", "range"),
    ("a height above every kitchen", _boiling(altitude_m="12000"), "altitude_m", "range"),
    ("nothing to boil at", _boiling(), "pressure_hpa", "missing"),
    ("a check of an oven", cast.draft("unit_check", at="11:30", unit_code="east"), "unit_code", "unknown"),
    ("a cold unit for a probe", cast.draft("cooling_reading", at="11:30", probe="walk-in"), "probe", "unknown"),
    ("a use-by day that never was", cast.draft("receiving", at="11:30", use_by="2026-02-30"), "use_by", "type"),
]


@pytest.mark.parametrize(("draft", "field", "code"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_cannot_be_has_one_error_at_its_field(kept: Api, draft: dict[str, Any], field: str, code: str) -> None:
    assert kept.only_error(draft) == (field, code)


def test_a_probe_off_the_list_is_unknown(kept: Api, database: Database) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.retire_equipment(session, site, "blue", at=cast.moment("12:00"))
    assert kept.only_error(cast.draft("cooling_reading", at="11:30")) == ("probe", "unknown")


def test_a_pressure_reduced_to_sea_level_is_recorded_all_the_same(api: Api) -> None:
    boiling = {"method": "boiling_point", "pressure_hpa": "1013", "altitude_m": "2000", "temperature": "199.9"}
    api.keep(cast.draft("probe_check", at="11:30", **boiling))
    (probe,) = api.get("S1/days/2026-04-14").get_json()["probes"]
    assert probe["verdict"] == "not_met"


def test_a_reading_of_a_batch_that_is_empty_by_then_is_kept(kept: Api) -> None:
    kept.keep(cast.draft("cooling_reading", at="11:30", batch="A-B2"))
