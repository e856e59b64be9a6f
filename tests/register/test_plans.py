"""Plan versions: named, added, never looser than the code without a variance."""

from datetime import date, timedelta

import pytest
from sqlalchemy.orm import Session

from app import models, register
from app.models import PlanVersion
from app.register import Refused
from app.rules.plans import plan
from app.rules.plans import settings as plan_settings
from tests.support import cast

NOW = cast.OPENED + timedelta(days=30)


def _adopt(
    session: Session, site: models.Site, code: str | None = None, *, login: str = "pat", **changes: str
) -> PlanVersion:
    keywords = {name: changes.pop(name) for name in ("variance", "authority") if name in changes}
    by = register.get_person(session, site, login)
    return register.adopt_plan(session, site, code, changes, by=by, at=NOW, **keywords)


def test_a_new_version_names_who_adopted_it(session: Session, site: models.Site) -> None:
    version = _adopt(session, site, login="sam", hot_holding="140F/60C")
    assert (version.version, version.code, version.adopted_by) == (2, "us_food_code_2022", "sam")
    assert register.newest_plan(session, site) is version


def test_settings_add_up_while_the_code_stays(session: Session, site: models.Site) -> None:
    _adopt(session, site, hot_holding="140F/60C")
    assert register.settings_of(_adopt(session, site, grace_min=" 10 ")) == {
        "hot_holding": "140F/60C",
        "grace_min": "10",
    }


def test_a_setting_back_at_the_codes_value_is_dropped(session: Session, site: models.Site) -> None:
    _adopt(session, site, hot_holding="140F/60C", grace_min="10")
    assert register.settings_of(_adopt(session, site, hot_holding="135F/57C")) == {"grace_min": "10"}


def test_what_is_looser_than_the_code_is_refused(session: Session, site: models.Site) -> None:
    with pytest.raises(plan_settings.PlanRefused) as refused:
        _adopt(session, site, hot_holding="130F/54C")
    assert (refused.value.name, refused.value.code) == ("hot_holding", "looser")
    newest = register.newest_plan(session, site)
    assert newest is not None
    assert newest.version == 1


def test_a_named_variance_allows_what_is_looser(session: Session, site: models.Site) -> None:
    version = _adopt(session, site, hot_holding="130F/54C", variance="County variance 2026-17")
    assert version.variance == "County variance 2026-17"
    assert _adopt(session, site, grace_min="5").variance == "County variance 2026-17"


def test_a_variance_cannot_end_while_the_plan_needs_it(session: Session, site: models.Site) -> None:
    _adopt(session, site, hot_holding="130F/54C", variance="County variance 2026-17")
    with pytest.raises(plan_settings.PlanRefused, match="hot_holding: looser"):
        _adopt(session, site, variance="")
    assert _adopt(session, site, hot_holding="135F/57C", variance="").variance is None


def test_who_adopted_the_code_here_is_the_sites_to_say(session: Session, site: models.Site) -> None:
    _adopt(session, site, authority="County ordinance 12-3")
    assert _adopt(session, site).authority == "County ordinance 12-3"
    assert _adopt(session, site, authority=" ").authority is None


@pytest.mark.parametrize("login", ["cook", "ines", "other-lead"])
def test_only_somebody_in_charge_here_adopts(session: Session, site: models.Site, login: str) -> None:
    other = cast.make_other_site(session)
    by = register.find_person(session, site, login) or register.get_person(session, other, login)
    with pytest.raises(Refused, match="login: forbidden"):
        register.adopt_plan(session, site, None, {}, by=by, at=NOW)


@pytest.mark.parametrize(
    ("name", "value", "code"),
    [
        ("no_such_limit", "1", "unknown"),
        ("hot_holding", "140", "type"),
        ("hot_holding", "NaNF/60C", "type"),
        ("check_interval_min", "0", "range"),
        ("check_interval_min", "٩٠", "type"),
        ("day_starts", "25:00", "range"),
        ("controls", "cooking,nothing", "unknown"),
        ("time_control_procedure", "two\nlines", "type"),
    ],
)
def test_a_bad_setting_is_refused_by_its_name(
    session: Session, site: models.Site, name: str, value: str, code: str
) -> None:
    with pytest.raises(plan_settings.PlanRefused) as refused:
        _adopt(session, site, **{name: value})
    assert (refused.value.name, refused.value.code) == (name, code)


def test_an_unknown_code_is_refused(session: Session, site: models.Site) -> None:
    with pytest.raises(plan_settings.PlanRefused, match="code: unknown"):
        _adopt(session, site, "../house")


@pytest.mark.parametrize("name", plan_settings.SETTINGS)
def test_every_limit_is_written_the_way_it_is_typed(name: str) -> None:
    limits = plan.resolve(cast.ADOPTED, date(2026, 4, 14)).limits
    assert plan_settings.parse_setting(name, register.setting_text(getattr(limits, name))) == getattr(limits, name)


def test_a_table_pair_gives_the_limits_that_the_site_does_not_set(session: Session, site: models.Site) -> None:
    """Its own limits are not kept as the site's: with the pair they go."""
    pair = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
    version = _adopt(session, site, variance="V-17", **pair)
    assert register.settings_of(version) == pair
    assert register.plan_in_force(version, cast.DAY).limits.cook_core.F == 152
    again = _adopt(session, site, cook_core="152F/66.6C", cook_dwell_s="252", **pair)
    assert register.settings_of(again) == pair
    without = _adopt(session, site, cook_table="", cook_humidity="", cook_core="165F/74C", cook_dwell_s="0")
    assert register.settings_of(without) == {}


def test_the_codes_own_limit_beside_a_table_pair_is_stricter_and_kept(session: Session, site: models.Site) -> None:
    pair = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
    version = _adopt(session, site, variance="V-17", cook_core="165F/74C", **pair)
    assert register.plan_in_force(version, cast.DAY).limits.cook_core.F == 165
    later = _adopt(session, site, check_interval_min="60")
    assert register.plan_in_force(later, cast.DAY).limits.cook_core.F == 165
    assert register.settings_of(_adopt(session, site, cook_table="", check_interval_min="90")) == {
        "cook_humidity": "humid_part"
    }


def test_a_time_under_that_of_the_table_is_refused_though_the_code_asks_for_none(
    session: Session, site: models.Site
) -> None:
    pair = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
    with pytest.raises(plan_settings.PlanRefused) as refused:
        _adopt(session, site, variance="V-17", cook_dwell_s="0", **pair)
    assert (refused.value.name, refused.value.code) == ("cook_dwell_s", "under_table")


def test_a_setting_is_printed_as_it_is_typed(session: Session, site: models.Site) -> None:
    settings = {"cook_table": "turkey 150F 2.5%", "cook_humidity": "direct_heat", "cook_target": "180F/82C"}
    limits = register.plan_in_force(_adopt(session, site, variance="V-17", **settings), cast.DAY).limits
    assert {name: register.setting_text(getattr(limits, name)) for name in settings} == settings
