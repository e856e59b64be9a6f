"""Plan versions: what a site adopted, when and in whose name. Versions are added, never changed."""

import json
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.kinds.permissions import Permission, may
from app.models import Person, PlanVersion, Site
from app.rules.day.judge import all_rules
from app.rules.lethality import table_pair
from app.rules.plans import adopted_values, adoption
from app.rules.plans import plan as rules_plan
from app.rules.plans import settings as plan_settings
from app.rules.plans.adopted_values import Attachment

from .people import find_person
from .recording import Author, lock_site, record
from .refused import Refused, checked_line
from .relied_on import check_procedure

DEFAULT_CODE = "us_food_code_2022"


@dataclass(frozen=True, slots=True)
class OwnWords:
    """What a kitchen wrote into its plan itself: words of its own check items, texts by part, and files."""

    items: Mapping[str, str] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    attachments: Sequence[Attachment] = ()

    @classmethod
    def of(cls, adopted: rules_plan.Adopted) -> "OwnWords":
        """Give what a version holds."""
        return cls(dict(adopted.items), dict(adopted.texts), adopted.attachments)

    def as_fields(self) -> dict[str, Any]:
        """Give what the entry of an adoption says of it; what is not there is left out."""
        files = {one.digest: one.as_fields() for one in self.attachments}
        return {"items": dict(self.items) or None, "texts": dict(self.texts) or None, "attachments": files or None}


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
    via: str = "command",
    after: int | None = None,
    own: OwnWords | None = None,
) -> PlanVersion:
    """Adopt a new plan version in the name of somebody who may; `after` is the version that they have before them.

    `code` None keeps the code in force. While the code stays, what the earlier version set stays too:
    `settings` are added to it, one that is the code's own value is dropped, a `variance` or `authority` of None is
    kept and "" ends it. `own` is all that the kitchen wrote itself; without it, what the earlier version has stays.
    Raises Refused (login forbidden; after moved; variance, authority; time_control_procedure relied_on) and
    rules.settings.PlanRefused (as `check_adoption` does).
    """
    if by.site_id != site.id or not may(by.role, Permission.ADOPT_PLAN) or by.retired_at is not None:
        raise Refused("login", "forbidden", value=by.login)
    moment = lock_site(session, site, at)
    before = newest_plan(session, site)
    if before is not None and after not in (None, before.version):
        raise Refused("after", "moved", number=before.version, name=_name_of(session, site, before.adopted_by))
    on = at.astimezone(ZoneInfo(site.timezone)).date()
    new_code, kept, merged = _merged(before, code, settings, on)
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
        adopted_at=moment,
    )
    if before is not None:
        check_procedure(session, site.code, plan_in_force(version, on), at=moment)
    written = own or (OwnWords.of(ledger.read_plans(session, site.code)[-1]) if before else OwnWords())
    session.add(version)
    about = {**written_plan(version, on=on), **written.as_fields()}
    record(session, site, "plan_adopted", by=Author(via, by.login), at=moment, **about)
    return version


def _merged(
    before: PlanVersion | None, code: str | None, settings: Mapping[str, str], on: date
) -> tuple[str, PlanVersion | None, dict[str, str]]:
    """Give the code of the next version, the version whose settings it keeps, and all settings on top of the code."""
    new_code = rules_plan.now_called(code or (before.code if before else DEFAULT_CODE))
    kept = before if before is not None and new_code == rules_plan.now_called(before.code) else None
    return new_code, kept, _own_settings(new_code, {**(settings_of(kept) if kept else {}), **settings}, on)


def next_version(
    session: Session, site: Site, *, code: str | None, settings: Mapping[str, str], variance: str | None, at: datetime
) -> rules_plan.Adopted:
    """Give the version that would be adopted now, as its entry would say it. Nothing is checked against the code.

    Raises PlanRefused for an unknown code, and for a setting that cannot be read.
    """
    before = newest_plan(session, site)
    on = at.astimezone(ZoneInfo(site.timezone)).date()
    new_code, kept, merged = _merged(before, code, settings, on)
    bare = rules_plan.Adopted(
        version=before.version + 1 if before else 1,
        code=new_code,
        settings=tuple(sorted(merged.items())),
        adopted_by="",
        adopted_at=at,
        variance=_carried("variance", variance, kept.variance if kept else None),
        authority=kept.authority if kept else None,
    )
    values, loosened = values_written(bare, on=on)
    return replace(bare, values=adopted_values.as_text(values), loosened=loosened)


def _name_of(session: Session, site: Site, login: str) -> str:
    person = find_person(session, site, login)
    return person.name if person else login


def written_plan(version: PlanVersion, *, on: date) -> dict[str, Any]:
    """Write a version out as its entry says it: with every value that holds under it from its adoption on."""
    return _written(version, plan_in_force(version, on), rules_plan.limits_on(version.code, {}, on), on=on)


def written_old_plan(version: PlanVersion, *, on: date) -> dict[str, Any]:
    """Write a version out that was adopted before plans held their own values: with those that it was judged by."""
    adopted = adopted_of(version)
    own = rules_plan.before_adoption(adopted, on, settings=False)
    return _written(version, rules_plan.before_adoption(adopted, on), (own.limits, own.sources), on=on)


def _written(version: PlanVersion, plan: rules_plan.Plan, own: adopted_values.Own, *, on: date) -> dict[str, Any]:
    settings = settings_of(version)
    return {
        "code": version.code,
        "version": version.version,
        "settings": settings,
        "values": adopted_values.values_of(plan, own, {name: rule.dispositions for name, rule in all_rules().items()}),
        "authority": version.authority,
        "variance": _allowed_by(version.variance, adoption.looser(version.code, settings, on=on)),
    }


def values_written(adopted: rules_plan.Adopted, *, on: date) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Give what a version would hold from a day on, as its entry would say it, and what of it is looser than the code.

    Raises PlanRefused for an unknown code or a bad setting.
    """
    bare = replace(adopted, values="")
    limits, sources = rules_plan.limits_on(bare.code, {}, on)
    dispositions = {name: rule.dispositions for name, rule in all_rules().items()}
    values = adopted_values.values_of(rules_plan.resolve(bare, on), (limits, sources), dispositions)
    return values, adoption.looser(bare.code, dict(bare.settings), on=on)


def _allowed_by(variance: str | None, looser: Sequence[str]) -> dict[str, str] | None:
    """Give what a variance allows, by the name of each setting; `*` where nothing is looser than the code."""
    return None if variance is None else dict.fromkeys(looser or ("*",), variance)


def newest_plan(session: Session, site: Site) -> PlanVersion | None:
    """Give the plan version adopted last, if there is any."""
    versions = select(PlanVersion).where(PlanVersion.site_id == site.id)
    return session.scalar(versions.order_by(PlanVersion.version.desc()).limit(1))


def plan_in_force(version: PlanVersion, on: date) -> rules_plan.Plan:
    """Give a version's limits on a date, with the source of each."""
    return rules_plan.resolve(adopted_of(version), on)


def adopted_of(version: PlanVersion) -> rules_plan.Adopted:
    """Give a version's code and settings."""
    return rules_plan.Adopted(
        version=version.version,
        code=version.code,
        settings=tuple(sorted(settings_of(version).items())),
        adopted_by=version.adopted_by,
        adopted_at=version.adopted_at,
        variance=version.variance,
        authority=version.authority,
    )


def settings_of(version: PlanVersion) -> dict[str, str]:
    """Give what the site set on top of the code, as it was typed."""
    settings: dict[str, str] = json.loads(version.settings)
    return settings


def _own_settings(code: str, settings: Mapping[str, str], on: date) -> dict[str, str]:
    """Leave out what only says what the code says anyway; of the limits that a table pair gives, what the pair says."""
    read = {name: plan_settings.parse_setting(name, text) for name, text in settings.items()}
    said, _sources = rules_plan.limits_on(code, {}, on)
    beside = {
        name: _typed(settings[name])
        for name, value in read.items()
        if name not in table_pair.LIMITS and value != getattr(said, name)
    }
    by_pair, _sources = rules_plan.limits_on(code, beside, on)
    of_pair = {name: _typed(settings[name]) for name in table_pair.LIMITS if name in settings}
    return beside | {name: text for name, text in of_pair.items() if read[name] != getattr(by_pair, name)}


def _typed(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip()


def _carried(field: str, given: str | None, before: str | None) -> str | None:
    if given is None:
        return before
    return checked_line(field, given, longest=200) if given.strip() else None
