"""Readings with a probe: the probe in hand, its scale, and what a number means before it is saved."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import session
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, RadioField, StringField

from app import clock, ledger
from app.kinds import Entry
from app.rules.day.assess import assess
from app.rules.day.shown import Assessment
from app.rules.facts import Equipment, Finding, Site
from app.server import get_database

from ..parts.forms import Draft, EntryForm, clock_told, instant_text, measured, show_errors
from ..signin import identity
from .running_day import now_here, show_short_names


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """An entry that is not kept yet, and the day as it would be with it."""

    entry: Entry
    after: Assessment
    raised: tuple[Finding, ...]
    """Findings that this entry would raise."""


class ReadingForm(EntryForm):
    """A temperature, the probe it was read with, and its unit."""

    temperature = StringField(_l("Temperature"))
    unit = RadioField(_l("The display shows"), choices={"F": "°F", "C": "°C"}, validate_choice=False)
    probe = RadioField(_l("Probe in your hand"), validate_choice=False)
    shown_for = HiddenField()
    """The reading whose meaning was shown: only that one is saved."""
    confirmed = HiddenField()
    """What was asked about that reading and answered yes: codes of questions."""
    looked_up = HiddenField()
    """The code of the meaning that the page's own table gave for that reading, where the script looked it up."""
    shows = HiddenField()
    """The unit that the display shows after all, where it was asked which."""

    def offer_probes(self, site: Site) -> None:
        """List the probes in use."""
        self.probe.choices = {item.code: item.code for item in listed(site, "probe")}

    def reading(self, site: Site) -> Draft:
        """Give the fields of the reading; the unit is the probe's, where it has only one."""
        if self.shows.data in ("F", "C"):
            self.unit.data = self.shows.data
        scale = self._scale(site)
        unit = scale if scale in ("F", "C") else self.unit.data
        temperature = measured(self.temperature.data)
        return {"temperature": temperature, "unit": unit if temperature else None, "probe": self.probe.data}

    def said(self, draft: Draft) -> str:
        """Give the reading as one text, to be held against `shown_for`."""
        names = ("temperature", "unit", "probe", "bird", "place", "held_s", "batch", "reheat", "tray")
        return "/".join(str(draft.get(name, "")) for name in names)

    def is_dual(self, site: Site) -> bool:
        """Whether the display may show either unit."""
        return self._scale(site) not in ("F", "C")

    def _scale(self, site: Site) -> str | None:
        probe = site.equipment.get(self.probe.data or "")
        return probe.scale if probe else None

    def is_shown(self, draft: Draft) -> bool:
        """Whether what this reading means has been shown."""
        return bool(self.temperature.data) and self.shown_for.data == self.said(draft)

    def has_confirmed(self, draft: Draft, codes: Iterable[str]) -> bool:
        """Whether everything that is asked about this reading, by the codes of the questions, was answered yes."""
        answered = (self.confirmed.data or "").split() if self.shown_for.data == self.said(draft) else ()
        return set(codes) <= set(answered)

    def note_shown(self, draft: Draft) -> None:
        """Note that the meaning of this reading is on the page now."""
        self.shown_for.data = self.said(draft)


def listed(site: Site, kind: str) -> list[Equipment]:
    """Give the equipment of a kind that is in use, by code."""
    return [item for item in site.equipment.values() if item.kind == kind and item.retired_at is None]


def probe_presets() -> dict[str, str | None]:
    """Give the probe and unit last used here; after a change of person the probe is asked for again."""
    is_same = session.get("probe_person") == identity.current().caller.login
    return {"probe": session.get("probe") if is_same else None, "unit": session.get("unit", usual_unit())}


def usual_unit() -> str:
    """Give the scale in which this kitchen's pads begin."""
    return identity.current().site.unit or "F"


def last_probe() -> str | None:
    """Give the probe that was last used on this device, whoever had it."""
    probe: str | None = session.get("probe")
    return probe


def remember_probe(draft: Draft) -> None:
    """Keep the probe and unit for the next reading of this person."""
    session["probe"], session["unit"] = draft["probe"], draft["unit"]
    session["probe_person"] = identity.current().caller.login


def foresee(form: EntryForm, draft: Draft) -> Foreseen | None:
    """Give what the day would be with this entry; None where it cannot be kept, with the errors at their fields."""
    seen = form.seen(clock.utc_now())
    if seen is None:
        return None
    dated, entry = {**draft, "observed_at": instant_text(seen)}, None
    person, code = identity.current(), identity.current().site.code
    with get_database().reading() as database, clock_told(form):
        at = now_here(database)
        entry, errors = ledger.preview(database, code, dated, by=person.caller, at=clock.utc_now())
        day = ledger.today(database, code, at)
        entries = ledger.day_entries(database, code, day, as_of=at)
        show_errors(form, errors)
    if entry is None:
        return None
    as_of = max(at, entry.observed_at)
    before = assess(day, entries, as_of=as_of)
    after = assess(day, [*entries, entry], as_of=as_of)
    show_short_names(after)
    known = {finding.key for finding in before.findings}
    raised = tuple(finding for finding in after.findings if finding.key not in known)
    return Foreseen(entry=entry, after=after, raised=raised)
