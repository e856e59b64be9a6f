"""Words of the register: the kitchen itself, its plan, people, equipment, clock and credentials."""

from zoneinfo import ZoneInfo

from app.kinds import ClockSet, CredentialSet, EquipmentSet, PersonSet, PlanAdopted, SiteSet

from .. import measures, names
from ..marking import N_, say
from ..marking import gettext as _
from .saying import parts, says


@says(SiteSet, N_("Kitchen set up"))
def _site_set(entry: SiteSet, zone: ZoneInfo) -> str:
    height = "" if entry.altitude_m is None else _("at %(altitude)s m", altitude=measures.number(entry.altitude_m))
    permit = "" if entry.permit is None else _("permit %(number)s", number=entry.permit)
    clock = "" if entry.clock is None else _("%(hours)s-hour clock", hours=entry.clock)
    scale = "" if entry.unit is None else _("pads in °%(scale)s", scale=entry.unit)
    zone_said = _("time zone %(zone)s", zone=entry.timezone)
    return parts(entry.name, entry.address or "", permit, zone_said, height, clock, scale)


@says(PlanAdopted, N_("Plan adopted"))
def _plan_adopted(entry: PlanAdopted, zone: ZoneInfo) -> str:
    changed = ", ".join(f"{name} {text}" for name, text in sorted(entry.settings.items()))
    version = _("version %(number)s, %(code)s", number=entry.version, code=entry.code)
    return parts(version, _("set by the site: %(changed)s", changed=changed) if changed else "")


@says(PersonSet, N_("Person"))
def _person_set(entry: PersonSet, zone: ZoneInfo) -> str:
    state = _("retired") if entry.retired else names.role_word(entry.role)
    return parts(f"{entry.name} ({entry.login})", state)


@says(EquipmentSet, N_("Equipment"))
def _equipment_set(entry: EquipmentSet, zone: ZoneInfo) -> str:
    scale = "" if entry.scale is None else names.scale_word(entry.scale)
    state = _("retired") if entry.retired else _("listed")
    return parts(f"{names.equipment_word(entry.type)} {entry.code}", scale, state)


@says(ClockSet, N_("Server's clock accepted"))
def _clock_set(entry: ClockSet, zone: ZoneInfo) -> str:
    was, now = (measures.local_date_time(at, zone) for at in (entry.was, entry.is_))
    values = {"was": was, "now": now, "length": measures.duration(entry.was - entry.is_)}
    return parts(_("the server's clock went back by %(length)s, from %(was)s to %(now)s", **values), entry.reason)


_CREDENTIALS = {
    "password": N_("password"),
    "pin": N_("PIN"),
    "token": N_("API token"),
    "tablet": N_("tablet"),
}


@says(CredentialSet, N_("Password, PIN, token or tablet"))
def _credential_set(entry: CredentialSet, zone: ZoneInfo) -> str:
    kind = say(_CREDENTIALS, entry.credential)
    number = "" if entry.number is None else _("number %(number)s", number=entry.number)
    state = _("ended") if entry.revoked else _("given")
    return parts(f"{kind} {entry.login or entry.tablet or ''}".strip(), number, state)
