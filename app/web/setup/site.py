"""The kitchen itself: its name, address, permit, height above the sea and time zone, and what a change means."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import available_timezones

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import clock, ledger, models, register
from app.kinds.permissions import Permission
from app.server import get_database

from ..parts.forms import count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .index import changing, kitchen, refusals_at, typed_number

blueprint = Blueprint("site", __name__, url_prefix="/setup/site")

_NOON = time(12)


class SiteForm(PageForm):
    """What the log and the plan print of the kitchen, and what its days are counted by."""

    name = StringField(_l("Name of the kitchen"))
    address = StringField(_l("Address"))
    permit = StringField(_l("Number of the permit to operate"))
    altitude_m = StringField(_l("Height above the sea, in m"))
    timezone = StringField(_l("Time zone"))
    clock = RadioField(
        _l("Times are shown by a"),
        choices=lambda: {"12": _("12-hour clock: 3:39 pm"), "24": _("24-hour clock: 15:39")},
        validate_choice=False,
    )
    unit = RadioField(_l("A number pad begins with"), choices={"F": "°F", "C": "°C"}, validate_choice=False)


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show what is said of the kitchen, and the form to change it."""
    with get_database().reading() as session:
        site = kitchen(session)
    return _site(SiteForm.of_request(**_shown(site)))


@blueprint.post("")
@requires(Permission.KEEP_SITE)
def change() -> ResponseReturnValue:
    """Change what is said of the kitchen, from the next noon on."""
    form = SiteForm.of_request()
    with refusals_at(form):
        height = typed_number("altitude_m", form.altitude_m.data)
        with changing() as (session, site, now):
            is_changed = register.change_site(
                session,
                site,
                at=now,
                by=identity.current().author,
                name=form.name.data or "",
                timezone=form.timezone.data or "",
                altitude_m=height,
                address=form.address.data,
                permit=form.permit.data,
                clock=count(form.clock.data),
                unit=form.unit.data or None,
            )
        flash(_("Saved. Earlier days keep the old values.") if is_changed else _("Nothing was changed."))
        return redirect(url_for("site.index"), 303)
    return _site(form, 422)


def zones() -> list[str]:
    """Give the names of the time zones that can be chosen, those of places only."""
    return sorted(name for name in available_timezones() if "/" in name and not name.startswith(("Etc/", "SystemV/")))


def _shown(site: models.Site) -> dict[str, str]:
    height = "" if site.altitude_cm is None else f"{(Decimal(site.altitude_cm) / 100).normalize():f}"
    about = {"name": site.name, "address": site.address or "", "permit": site.permit or ""}
    habits = {"clock": str(site.clock or ""), "unit": site.unit or ""}
    return {**about, **habits, "altitude_m": height, "timezone": site.timezone}


def _site(form: SiteForm, status: int = 200) -> ResponseReturnValue:
    return page("setup/site.html", status, form=form, zones=zones(), holds_from=_first_day_of_a_change(clock.utc_now()))


def _first_day_of_a_change(now: datetime) -> date:
    """Give the first day that a change made now counts for: today until noon, then tomorrow."""
    zone = identity.current().site.timezone
    with get_database().reading() as session:
        today = ledger.today(session, identity.current().site.code, now)
    return today if now <= datetime.combine(today, _NOON, zone) else today + timedelta(days=1)
