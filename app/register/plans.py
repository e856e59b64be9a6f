"""Plan versions: what a site adopted, when and in whose name. Versions are added, never changed."""

import json
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds.permissions import Permission, may
from app.models import Person, PlanVersion, Site
from app.rules.lethality import table_pair
from app.rules.plans import adoption
from app.rules.plans import limits as plan_limits
from app.rules.plans import plan as rules_plan
from app.rules.plans import settings as plan_settings

from .refused import Refused, checked_line
from .sites import lock_site

DEFAULT_CODE = "us_food_code_2022"


def adopt_plan(
    session: Session,
    site: Site,
    code: str | None,
    settings: Mapping[str, str],
    *,
    by: Person,
    at: datetime,
    variance: str | None = None,
    authority: str | None = None,
) -> PlanVersion:
    """Adopt a new plan version in the name of somebody who may.

    `code` None keeps the code in force. While the code stays, what the earlier version set stays too:
    `settings` are added to it, one that is the code's own value is dropped, a `variance` or `authority` of None is
    kept and "" ends it.
    Raises Refused (login forbidden; variance, authority) and rules.settings.PlanRefused (as `check_adoption` does).
    """
    if by.site_id != site.id or not may(by.role, Permission.ADOPT_PLAN) or by.retired_at is not None:
        raise Refused("login", "forbidden", value=by.login)
    lock_site(session, site)
    before = newest_plan(session, site)
    new_code = rules_plan.now_called(code or (before.code if before else DEFAULT_CODE))
    kept = before if before is not None and new_code == rules_plan.now_called(before.code) else None
    on = at.astimezone(ZoneInfo(site.timezone)).date()
    merged = _own_settings(new_code, {**(settings_of(kept) if kept else {}), **settings}, on)
    allowed_by = _carried("variance", variance, kept.variance if kept else None)
    adoption.check_adoption(new_code, merged, on=on, variance=allowed_by)
    version = PlanVersion(
        site_id=site.id,
        version=before.version + 1 if before else 1,
        code=new_code,
        settings=json.dumps(merged, sort_keys=True, ensure_ascii=False),
        variance=allowed_by,
        authority=_carried("authority", authority, kept.authority if kept else None),
        adopted_by=by.login,
        adopted_at=at,
    )
    session.add(version)
    session.flush()
    return version


def newest_plan(session: Session, site: Site) -> PlanVersion | None:
    """Give the plan version adopted last, if there is any."""
    versions = select(PlanVersion).where(PlanVersion.site_id == site.id)
    return session.scalar(versions.order_by(PlanVersion.version.desc()).limit(1))


def plan_in_force(version: PlanVersion, on: date) -> rules_plan.Plan:
    """Give a version's limits on a date, with the source of each."""
    adopted = rules_plan.Adopted(
        version=version.version,
        code=version.code,
        settings=tuple(sorted(settings_of(version).items())),
        adopted_by=version.adopted_by,
        adopted_at=version.adopted_at,
        variance=version.variance,
        authority=version.authority,
    )
    return rules_plan.resolve(adopted, on)


def settings_of(version: PlanVersion) -> dict[str, str]:
    """Give what the site set on top of the code, as it was typed."""
    settings: dict[str, str] = json.loads(version.settings)
    return settings


def setting_text(value: Any) -> str:
    """Give a limit the way it is typed as a setting, e.g. `165F/74C`, `04:00`, `breast,thigh`."""
    if isinstance(value, plan_limits.TemperatureLimit):
        return f"{_plain(value.F)}F/{_plain(value.C)}C"
    if isinstance(value, Decimal):
        return _plain(value)
    if isinstance(value, time):
        return value.strftime("%H:%M")
    if isinstance(value, frozenset):
        return ",".join(group for group in plan_limits.GROUPS if group in value)
    if isinstance(value, plan_limits.TablePair):
        fat = "" if value.fat_percent is None else f" {_plain(value.fat_percent)}%"
        return f"{value.species} {_plain(value.row_f)}F{fat}"
    if value is None:
        return ""
    return ",".join(value) if isinstance(value, tuple) else str(value)


def _own_settings(code: str, settings: Mapping[str, str], on: date) -> dict[str, str]:
    """Leave out what only says what the code says anyway; of the limits that a table pair gives, what the pair says."""
    read = {name: plan_settings.parse_setting(name, text) for name, text in settings.items()}
    said, _sources = rules_plan.limits_on(code, {}, on)
    beside = {
        name: settings[name].strip()
        for name, value in read.items()
        if name not in table_pair.LIMITS and value != getattr(said, name)
    }
    by_pair, _sources = rules_plan.limits_on(code, beside, on)
    of_pair = {name: settings[name].strip() for name in table_pair.LIMITS if name in settings}
    return beside | {name: text for name, text in of_pair.items() if read[name] != getattr(by_pair, name)}


def _carried(field: str, given: str | None, before: str | None) -> str | None:
    if given is None:
        return before
    return checked_line(field, given, longest=200) if given.strip() else None


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"
