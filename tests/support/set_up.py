"""The register of a kitchen as entries, for tests that have no database: what a site and its plans add up to."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from itertools import count
from typing import Any

from app.kinds import Entry, EquipmentSet, PersonSet, PlanAdopted, RegisterEntry, SiteSet
from app.rules.day import assess as rules
from app.rules.day.judge import all_rules
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.shown import Assessment
from app.rules.facts import Equipment, Person, Site
from app.rules.plans import adopted_values, plan
from tests.support import cast

_SET_UP_AT = datetime.fromisoformat("1990-01-01T00:00:00+00:00")
_FIRST_SEQ = -100_000
"""Below whatever seqs a test gives to its entries."""


def register(site: Site | None = None, plans: Iterable[plan.Adopted] = (cast.ADOPTED,)) -> list[RegisterEntry]:
    """Give the entries that set up a site as it stands, equipment and plans from their own moments on."""
    kitchen = site or cast.site_facts()
    people, equipment = tuple(kitchen.people.values()), tuple(kitchen.equipment.values())
    key = (kitchen.code, kitchen.name, kitchen.timezone.key, kitchen.altitude_m, kitchen.address, kitchen.permit)
    return list(_register(key, people, equipment, tuple(plans)))


_About = tuple[str, str, str, Decimal | None, str | None, str | None]


@lru_cache(maxsize=64)
def _register(
    about_site: _About, people: tuple[Person, ...], equipment: tuple[Equipment, ...], plans: tuple[plan.Adopted, ...]
) -> tuple[RegisterEntry, ...]:
    """Give the same entries for the same kitchen, so that its calendar is made once."""
    seqs = count(_FIRST_SEQ)
    code, name, timezone, altitude_m, address, permit = about_site
    about: dict[str, Any] = {"site": code, "name": name, "timezone": timezone, "address": address, "permit": permit}
    entries: list[RegisterEntry] = [SiteSet(**_common(seqs), **about, altitude_m=altitude_m)]
    entries += [PlanAdopted(**_common(seqs, at=one.adopted_at, by=one.adopted_by), **_written(one)) for one in plans]
    for person in people:
        told: dict[str, Any] = {"login": person.login, "name": person.name, "role": person.role}
        told["certificate"] = person.certificate
        entries.append(PersonSet(**_common(seqs), **told, retired=person.retired_at is not None))
    for item in equipment:
        listed = {"type": item.kind, "code": item.code, "scale": item.scale}
        if item.since is not None:
            next(seqs)  # a hole: something of the kitchen was written before it was listed
        entries.append(EquipmentSet(**_common(seqs, at=item.since), **listed, retired=False))
        if item.retired_at is not None:
            entries.append(EquipmentSet(**_common(seqs, at=item.retired_at), **listed, retired=True))
    return tuple(entries)


def calendar(site: Site | None = None, plans: Iterable[plan.Adopted] = (cast.ADOPTED,)) -> RegisterCalendar:
    """Give the calendar of a site as it stands."""
    return RegisterCalendar(register(site, plans))


def assess(
    day: date,
    entries: Iterable[Entry],
    *,
    as_of: datetime,
    site: Site | None = None,
    plans: Sequence[plan.Adopted] = (cast.ADOPTED,),
    through_seq: int | None = None,
) -> Assessment:
    """Assess a day of a kitchen that was set up like this before all entries."""
    return rules.assess(day, [*register(site, plans), *entries], as_of=as_of, through_seq=through_seq)


def _common(seqs: Iterable[int], *, at: datetime | None = None, by: str = "") -> dict[str, Any]:
    seq, recorded_at = next(iter(seqs)), at or _SET_UP_AT
    own_id = f"register-{seq}"
    told = {"seq": seq, "root_seq": seq, "id": own_id, "root": own_id, "person": by, "via": "command", "late": False}
    return told | {"observed_at": recorded_at, "recorded_at": recorded_at}


def _written(adopted: plan.Adopted) -> dict[str, Any]:
    on = adopted.adopted_at.date()
    held, own = plan.resolve(adopted, on), plan.limits_on(adopted.code, {}, on)
    dispositions = {name: rule.dispositions for name, rule in all_rules().items()}
    variance = {"*": adopted.variance} if adopted.variance else None
    return {
        "code": adopted.code,
        "version": adopted.version,
        "settings": dict(adopted.settings),
        "values": adopted_values.values_of(held, own, dispositions),
        "authority": adopted.authority,
        "variance": variance,
    }
