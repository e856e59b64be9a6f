"""The calibration report: the checks of probes over a period, on a page and on paper."""

from dataclasses import dataclass
from datetime import date, timedelta

from flask import Blueprint, Response, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, SelectField

from app import clock, ledger
from app.kinds.permissions import Permission
from app.logs.verification import Calibration, calibration, write_calibration
from app.server import get_database

from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .period import Period, PeriodForm, read_period

blueprint = Blueprint("calibration", __name__, url_prefix="/calibration")

_USUAL = timedelta(days=90)


class CalibrationForm(PeriodForm):
    """Which days, and which probe; none is all of them."""

    probe = SelectField(_l("Probe"), validate_choice=False)
    sent = HiddenField(default="1")


@dataclass(frozen=True, slots=True)
class _Asked:
    form: CalibrationForm
    period: Period | None


@blueprint.get("")
@requires(Permission.READ_RECORDS)
def index() -> ResponseReturnValue:
    """Show the checks of probes over a period."""
    asked = _asked()
    view = _report(asked, asked.period) if asked.period else None
    return page("review/calibration.html", 422 if asked.form.errors_at() else 200, form=asked.form, view=view)


@blueprint.get("/report.pdf")
@requires(Permission.READ_RECORDS)
def pdf() -> ResponseReturnValue:
    """Print the same."""
    asked = _asked()
    if asked.period is None:
        return page("review/calibration.html", 422, form=asked.form, view=None)
    view, code = _report(asked, asked.period), identity.current().site.code
    name = f"{code}-{view.first.isoformat()}-{view.last.isoformat()}-calibration.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(write_calibration(view), mimetype="application/pdf", headers=headers)


def _asked() -> _Asked:
    form = CalibrationForm(request.args)
    probes = [item.code for item in identity.current().site.equipment.values() if item.kind == "probe"]
    form.probe.choices = [("", _("all probes")), *((code, code) for code in probes)]
    form.probe.data = form.probe.data or ""
    if form.probe.data and form.probe.data not in probes:
        form.refuse("probe", _("Choose one of these."))
    period = read_period(form, usual=_USUAL)
    return _Asked(form, None if form.errors_at() else period)


def _report(asked: _Asked, period: Period) -> Calibration:
    code, now = identity.current().site.code, clock.utc_now()
    with get_database().reading() as session:
        head, calendar = ledger.head(session, code), ledger.calendar_of(session, code)
        since, until = calendar.start_of(period.first), calendar.start_of(period.last + timedelta(days=1))
        checks = ledger.probe_checks(session, code, since=since, until=min(until, now), only=asked.form.probe.data)
    days: tuple[date, date] = (period.first, period.last)
    plan = calendar.plan_of(period.last)
    return calibration(identity.current().site, plan, checks, days=days, as_of=now, head=head)
