"""Cold and hot units with their checks, and deliveries received."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField, TextAreaField

from app import clock, ledger, words
from app.kinds import Receiving, UnitCheck, temperature_of
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment
from app.rules.facts import Equipment, Finding, Verdict, worst
from app.rules.meaning import asking
from app.rules.meaning import storage as meaning
from app.rules.meaning.bands import Bands, means
from app.rules.subjects.runs import LOOK_AGAIN
from app.server import get_database

from ..parts import first_steps
from ..parts.forms import Draft, count
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, readings
from .readings import Foreseen, ReadingForm
from .running_day import assess_day, assess_today, is_open

blueprint = Blueprint("storage", __name__)

_LOOK_BACK = timedelta(days=14)
_DELIVERIES_BACK = timedelta(days=60)
_TICK = timedelta(milliseconds=1)
"""Histories end just before a moment; what was seen at this very moment is wanted too."""
_KINDS = ("cold_unit", "hot_unit")


class UnitCheckForm(ReadingForm):
    """What the air or the food in a unit is at."""

    of = RadioField(_l("What was checked"), validate_choice=False)

    def entry(self, unit: str) -> Draft:
        """Give the check as an entry; a unit's own display is no probe."""
        reading = self.reading(identity.current().site)
        return self.draft("unit_check", unit_code=unit, of=self.of.data, **reading)

    def said(self, draft: Draft) -> str:
        """Give the check as one text."""
        return f"{super().said(draft)}/{draft.get('of', '')}"


class ReceivingForm(ReadingForm):
    """A delivery: what came, from whom, how cold, and whether it was taken."""

    product = StringField(_l("Product"))
    lot = StringField(_l("Lot, as it stands on the label"))
    supplier = StringField(_l("Supplier"))
    birds = StringField(_l("Birds"))
    state = RadioField(_l("How it came"), validate_choice=False)
    decision = RadioField(_l("Accept it?"), validate_choice=False)
    reason = TextAreaField(_l("Why it was not taken"))
    use_by = StringField(_l("Use by, if the label says"))

    def entry(self) -> Draft:
        """Give the delivery as an entry; only a chilled one has a temperature, only a rejected one a reason."""
        reading = self.reading(identity.current().site)
        own = reading if self.state.data == "chilled" and reading["temperature"] else {}
        return self.draft(
            "receiving",
            product=self.product.data,
            lot=self.lot.data,
            supplier=self.supplier.data,
            birds=count(self.birds.data),
            state=self.state.data,
            decision=self.decision.data,
            reason=self.reason.data if self.decision.data == "rejected" else None,
            use_by=self.use_by.data,
            **own,
        )

    def said(self, draft: Draft) -> str:
        """Give the delivery as one text, its remark and names apart."""
        names = ("lot", "birds", "state", "decision", "use_by")
        return "/".join([super().said(draft), *(str(draft.get(name, "")) for name in names)])

    def is_shown(self, draft: Draft) -> bool:
        """Whether what this delivery means has been shown; a frozen one has no number."""
        return self.shown_for.data == self.said(draft)


@dataclass(frozen=True, slots=True)
class UnitLine:
    """A unit, its newest reading, and the checks of the day."""

    equipment: Equipment
    last: UnitCheck | None
    done: int
    owed: int
    """How many checks the plan asks for in a day; 0 where it asks for none."""
    within: bool | None
    """Whether the last reading is within the unit's limit; None without one."""
    findings: Sequence[Finding]
    in_time: bool
    """Whether there is still time to read the food, where it was the air that was read."""

    @property
    def verdict(self) -> Verdict | None:
        """What its last reading shows; air alone shows nothing of the food."""
        if self.findings:
            return worst(finding.verdict for finding in self.findings)
        if self.within is False and self.last is not None:
            air = Verdict.PENDING if self.in_time else Verdict.NOT_SHOWN
            return Verdict.NOT_MET if self.last.of == "food" else air
        if self.done < self.owed:
            return Verdict.PENDING
        return Verdict.MET if self.last else None


@blueprint.get("/units")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def units() -> ResponseReturnValue:
    """Show the cold and hot-holding units with their last reading and the checks owed today."""
    assessment = assess_today()
    return page("storage/units.html", assessment=assessment, lines=unit_lines(assessment), kinds=_KINDS)


@blueprint.route("/units/<unit>/check", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def unit_check(unit: str) -> ResponseReturnValue:
    """Read a unit: what the number means is shown, then it is saved."""
    site, assessment = identity.current().site, assess_today()
    found = find_unit(unit, assessment)
    read = ("air", "food") if found.equipment.kind == "cold_unit" else ("air",)  # hot food is read in its tray
    of = "food" if "food" in read and request.args.get("of") == "food" else "air"
    form = UnitCheckForm.of_request(of=of, unit=readings.probe_presets()["unit"], probe="")
    form.of.choices = {of: words.measured_of_word(of) for of in read}
    probes = {item.code: item.code for item in readings.listed(site, "probe")}
    form.probe.label.text = _("Read from")
    form.probe.choices = {"": _("the unit's own display"), **probes}
    table = partial(meaning.unit_bands, found.equipment.kind, assessment.plan)
    pad = confirming.Pad(asking.of_unit(found.equipment.kind), table)
    if request.method == "POST" and pad.keeps(form, draft := form.entry(unit)):
        flash(_("Saved: %(unit)s, %(reading)s.", unit=unit, reading=f"{draft['temperature']} °{draft['unit']}"))
        return redirect(pad.lead_on(form, draft, url_for("storage.units")), 303)
    minutes = LOOK_AGAIN // timedelta(minutes=1)
    view = {"line": found, "form": form, "pad": pad, "bands": table, "minutes": minutes, "assessment": assessment}
    return _shown("storage/unit_check.html", form, view | _foreseen(pad.foreseen, table))


@blueprint.route("/deliveries/new", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def receiving() -> ResponseReturnValue:
    """Receive a delivery: what it means is shown, then it is saved."""
    site, assessment = identity.current().site, assess_today()
    form = ReceivingForm.of_request(state="chilled", **_last(), **readings.probe_presets())
    form.state.choices = {state: words.state_word(state) for state in ("chilled", "frozen")}
    form.decision.choices = {one: words.decision_word(one) for one in ("accepted", "rejected")}
    form.offer_probes(site)
    table = partial(meaning.delivery_bands, assessment.plan)
    pad = confirming.Pad(asking.of_delivery(), table)
    if request.method == "POST" and pad.keeps(form, draft := form.entry()):
        if "probe" in draft:
            readings.remember_probe(draft)
        decision = words.decision_word(draft["decision"])
        flash(_("Saved: lot %(lot)s, %(decision)s.", lot=draft["lot"], decision=decision))
        return redirect(pad.lead_on(form, draft, first_steps.go_on(url_for("storage.deliveries"))), 303)
    limit = meaning.delivery_limit(assessment.plan)
    view = {"form": form, "pad": pad, "bands": table, "limit": limit}
    return _shown("storage/receiving.html", form, view | _foreseen(pad.foreseen, table))


@blueprint.get("/deliveries")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def deliveries() -> ResponseReturnValue:
    """Show the deliveries of a day."""
    return page("storage/deliveries.html", assessment=assess_day(request.args.get("day")))


def find_unit(code: str, assessment: Assessment) -> UnitLine:
    """Give a unit in use with its last reading; 404 where there is none of that code."""
    return next(iter(_lines_of([item for item in _in_use() if item.code == code], assessment)), None) or abort(404)


def unit_lines(assessment: Assessment) -> list[UnitLine]:
    """Give every unit in use with its last reading."""
    return _lines_of(_in_use(), assessment)


def _in_use() -> list[Equipment]:
    return [item for kind in _KINDS for item in readings.listed(identity.current().site, kind)]


def _lines_of(listed: Sequence[Equipment], assessment: Assessment) -> list[UnitLine]:
    site, until = identity.current().site, clock.utc_now() + _TICK
    with get_database().reading() as session:
        found = {
            item.code: ledger.checks_since(
                session, site.code, UnitCheck, f"unit:{item.code}", since=until - _LOOK_BACK, as_of=until
            )
            for item in listed
        }
    return [_line(item, found[item.code], assessment) for item in listed]


def _line(item: Equipment, checks: Sequence[UnitCheck], assessment: Assessment) -> UnitLine:
    last = checks[-1] if checks else None
    owed = meaning.checks_owed(item.kind, assessment.plan)
    return UnitLine(
        equipment=item,
        last=last,
        done=sum(1 for entry in checks if entry.observed_at >= assessment.starts_at),
        owed=owed,
        within=meaning.is_within(item.kind, assessment.plan, last.reading) if last else None,
        findings=[
            one
            for one in assessment.findings
            if one.subject.kind in _KINDS and one.subject.name == item.code and is_open(one)
        ],
        in_time=last is not None and assessment.as_of < last.observed_at + LOOK_AGAIN,
    )


def _foreseen(foreseen: Foreseen | None, table: Callable[[str], Bands]) -> dict[str, object]:
    """Give what the reading that is not kept yet means, by the table that the pad has; None without a reading."""
    reading = temperature_of(foreseen.entry) if foreseen else None
    return {"reading_means": reading and means(table(reading.unit), reading)}


def _last() -> dict[str, object]:
    """Give the product and supplier of the newest delivery, of whichever day, to be filled in again."""
    code, at = identity.current().site.code, clock.utc_now()
    with get_database().reading() as session:
        found = ledger.newest_of(session, code, Receiving, since=at - _DELIVERIES_BACK, as_of=at)
    return {"product": found.product, "supplier": found.supplier} if found else {}


def _shown(template: str, form: ReadingForm, view: Mapping[str, object]) -> ResponseReturnValue:
    return page(template, 422 if form.errors_at() else 200, **view)
