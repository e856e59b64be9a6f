"""Probes: their checks, and the readings to review after a check that failed."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, RadioField, StringField

from app import clock, ledger, words
from app.kinds import Entry, ProbeCheck, of_kind, temperature_of
from app.kinds.permissions import Permission
from app.rules.day import views
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import ProbeView
from app.rules.facts import Equipment, Finding
from app.rules.meaning.probes import tolerance
from app.rules.subjects import probe_checks, saturation
from app.server import get_database

from ..parts import first_steps
from ..parts.forms import Draft, measured
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, made_once, readings
from .readings import Foreseen, ReadingForm
from .running_day import assess_day, is_open
from .still_here import Held, holders_of

blueprint = Blueprint("probes", __name__)

METHODS = ("ice_point", "boiling_point", "comparison")
_LOOK_BACK = timedelta(days=60)
_TICK = timedelta(milliseconds=1)
"""Histories end just before a moment; what was seen at this very moment is wanted too."""


class ProbeCheckForm(ReadingForm):
    """What a probe shows where it is known what it should show."""

    no_display = BooleanField(_l("The display shows nothing"))
    reference_temperature = StringField(_l("The other thermometer shows"))
    pressure_hpa = StringField(_l("Air pressure where you stand, in hPa"))
    altitude_m = StringField(_l("Or the height above sea level, in m"))
    adjusted = RadioField(_l("Was it adjusted after this reading?"), validate_choice=False)

    def entry(self, method: str) -> Draft:
        """Give the check as an entry; a display that shows nothing has no reading."""
        reading = self.reading(identity.current().site)
        own = _FIELDS[method](self)
        if self.no_display.data:
            own, reading = {}, {"probe": self.probe.data, "no_display": True}
        elif method == "comparison":
            reading["unit"] = reading["unit"] or self.unit.data
        return self.draft("probe_check", method=method, adjusted=self.adjusted.data == "yes", **reading, **own)

    def said(self, draft: Draft) -> str:
        """Give the check as one text: what was compared with what counts too."""
        names = ("method", "no_display", "reference_temperature", "pressure_hpa", "altitude_m", "adjusted")
        return "/".join([super().said(draft), *(str(draft.get(name, "")) for name in names)])

    def is_shown(self, draft: Draft) -> bool:
        """Whether what this check means has been shown; without a display there is no number."""
        return bool(self.no_display.data or self.temperature.data) and self.shown_for.data == self.said(draft)


def _boiling(form: ProbeCheckForm) -> Draft:
    return {"pressure_hpa": measured(form.pressure_hpa.data), "altitude_m": measured(form.altitude_m.data)}


_FIELDS: Mapping[str, Callable[[ProbeCheckForm], Draft]] = {
    "ice_point": lambda _form: {},
    "boiling_point": _boiling,
    "comparison": lambda form: {"reference_temperature": measured(form.reference_temperature.data)},
}


@dataclass(frozen=True, slots=True)
class ProbeLine:
    """A probe with its checks of the last two months."""

    equipment: Equipment
    view: ProbeView

    @property
    def last(self) -> ProbeCheck | None:
        """The newest check."""
        return self.view.checks[-1] if self.view.checks else None

    def is_due(self, assessment: Assessment) -> bool:
        """Whether a reading now would be one without a passed check that day or in the 24 hours before."""
        last, due_at = self.last, self.view.due_at
        if last is None or due_at is None or self.view.verdict != "met":
            return True
        return due_at < assessment.as_of and last.observed_at < assessment.starts_at


@dataclass(frozen=True, slots=True)
class Touched:
    """One finding of readings to review: the food, its readings, and what of it is still here."""

    finding: Finding
    readings: Sequence[tuple[Entry, str]]
    """What was read, and what it would be with the probe's error taken off (empty where its display showed nothing)."""
    held: Sequence[Held]


@dataclass(frozen=True, slots=True)
class Review:
    """A failed check and what it touched: one corrective action may answer for the group."""

    check: ProbeCheck
    accuracy: Finding
    touched: Sequence[Touched]

    @property
    def keys(self) -> list[str]:
        """The findings that still wait for an answer."""
        return [one.finding.key for one in self.touched if is_open(one.finding)]


@dataclass(frozen=True, slots=True)
class CheckMeaning:
    """What a check that is not kept yet shows."""

    result: probe_checks.CheckResult
    reference: str
    error: str
    tolerance: str
    is_reduced: bool
    """The pressure looks like a weather report's, reduced to sea level."""
    touched: Sequence[str]
    """What the probe's readings since its last passed check are to be reviewed for."""


@blueprint.get("/probes")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def index() -> ResponseReturnValue:
    """Show the probes with their last check, and what a failed check of the day touched."""
    assessment = assess_day(request.args.get("day"))
    lines = probe_lines()
    return page("probes/index.html", assessment=assessment, lines=lines, reviews=reviews_of(assessment))


@blueprint.route("/probes/<probe>/check", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def probe_check(probe: str) -> ResponseReturnValue:
    """Check a probe: what it shows is held against what it should show, then saved."""
    site = identity.current().site
    found = next((one for one in readings.listed(site, "probe") if one.code == probe), None) or abort(404)
    method = request.args.get("method", METHODS[0])
    if method not in METHODS:
        abort(404)
    form = ProbeCheckForm.of_request(unit=readings.probe_presets()["unit"], adjusted="no", probe=probe)
    form.probe.data, form.probe.choices = probe, {probe: probe}
    form.adjusted.choices = {"no": _("no"), "yes": _("yes")}
    pad = confirming.Pad()
    if request.method == "POST":
        draft = form.entry(method)
        if pad.keeps(form, draft):
            flash(_("Saved: probe %(probe)s, %(method)s.", probe=probe, method=words.method_word(method)))
            return redirect(pad.lead_on(form, draft, first_steps.go_on(url_for("probes.index"))), 303)
    return page(
        "probes/probe_check.html",
        422 if form.errors_at() else 200,
        probe=found,
        method=method,
        methods=METHODS,
        form=form,
        pad=pad,
        meaning=_meaning(pad.foreseen) if pad.foreseen else None,
        since=made_once.newest_seq(),
    )


def probe_lines() -> list[ProbeLine]:
    """Give every probe in use with its checks."""
    site, until = identity.current().site, clock.utc_now() + _TICK
    listed = readings.listed(site, "probe")
    with get_database().reading() as session:
        plan_at = ledger.calendar_of(session, site.code).plan_at
        checks = {
            item.code: ledger.checks_since(
                session, site.code, ProbeCheck, f"check:{item.code}", since=until - _LOOK_BACK, as_of=until
            )
            for item in listed
        }

    def line(item: Equipment) -> ProbeLine:
        judged = [
            probe_checks.judge_check(entry, site=site, plan=plan_at(entry.observed_at)) for entry in checks[item.code]
        ]
        record = probe_checks.ProbeRecord(item.code, judged, [])
        return ProbeLine(item, views.probe_view(record, until=until))

    return [line(item) for item in listed]


def reviews_of(assessment: Assessment) -> list[Review]:
    """Give the failed checks of a day, each with the readings to review."""
    entries = {entry.root: entry for entry in assessment.entries if entry.id not in assessment.superseded_by}
    checks = {check.root: check for check in of_kind(entries.values(), ProbeCheck)}

    def touched(finding: Finding) -> Touched:
        check = probe_checks.judge_check(checks[finding.entries[0]], site=assessment.site, plan=assessment.plan)
        found = [entries[root] for root in finding.entries[1:] if root in entries]
        pairs = [(entry, _without_error(entry, check)) for entry in found]
        return Touched(finding, pairs, holders_of(assessment, finding.subject))

    failed = {one.entries[0]: one for one in assessment.findings if one.rule == "probe.accuracy"}
    groups: dict[str, list[Touched]] = {root: [] for root in failed}
    for finding in assessment.findings:
        if finding.rule == "probe.review":
            groups[finding.entries[0]].append(touched(finding))
    return [Review(checks[root], failed[root], found) for root, found in groups.items()]


def _without_error(entry: Entry, check: probe_checks.CheckResult) -> str:
    """Give a reading with the probe's error taken off, to two decimals."""
    reading = temperature_of(entry)
    if check.error is None or reading is None:
        return ""
    return words.degrees(round(reading.value - probe_checks.error_in(reading.unit, check), 2), reading.unit)


def _meaning(foreseen: Foreseen) -> CheckMeaning:
    """Put a check that is not kept yet into numbers with their units; its display may have shown nothing."""
    after, check = foreseen.after, foreseen.entry
    if not isinstance(check, ProbeCheck):
        raise TypeError(f"{check.kind} is no check of a probe")
    result, read = probe_checks.judge_check(check, site=after.site, plan=after.plan), check.reading
    touched = [words.subject_words(one.subject) for one in foreseen.raised if one.rule == "probe.review"]
    if result.error is None or read is None:
        return CheckMeaning(result, "", "", "", False, touched)
    unit = read.unit
    reference = words.degrees(round(probe_checks.reference(check, unit, after.site), 2), unit)
    error = words.degrees(round(result.error, 2), unit)
    is_reduced = saturation.sea_level_reduced(
        check.pressure_hpa, after.site.altitude_m if check.altitude_m is None else check.altitude_m
    )
    return CheckMeaning(result, reference, error, _tolerance(check.probe, unit, after), is_reduced, touched)


def _tolerance(probe: str, unit: str, after: Assessment) -> str:
    """Give the tolerance in the unit that the plan has it in, and in the unit that was read."""
    allowed, own = tolerance(after.plan, scale=after.site.equipment[probe].scale, unit=unit)
    said = words.degrees(allowed, own)
    # The tolerance of a display in °C that was read in °F stands in both.
    return said if own == unit else f"{said} ({words.degrees(allowed * 9 / 5, unit)})"
