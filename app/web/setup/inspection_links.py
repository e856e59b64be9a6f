"""Links for an inspector without an account: made for somebody and some days, listed with every use, ended at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import clock, ledger, register, words
from app.kinds.permissions import Permission
from app.models import InspectionLink
from app.server import get_database

from ..parts.forms import count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import may_change_access, own_password_field
from .index import changing, kitchen, refusals_at

blueprint = Blueprint("inspection_links", __name__, url_prefix="/setup/inspection")

_HOURS = ("4", "24", "72", "168")


class LinkForm(PageForm):
    """For whom, how many days it shows, and when it ends."""

    whom = StringField(_l("For whom"))
    days = StringField(_l("How many days it shows"), default="30")
    hours = RadioField(
        _l("It ends after"),
        choices=lambda: {"4": _("4 hours"), "24": _("a day"), "72": _("3 days"), "168": _("a week")},
        default="24",
        validate_choice=False,
    )
    own_password = own_password_field("link")


@dataclass(frozen=True, slots=True)
class LinkRow:
    """A link as the list shows it."""

    number: int
    whom: str
    days: str
    made: str
    state: str
    is_open: bool
    uses: int


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show the links, and the form for another."""
    return _shown(LinkForm())


@blueprint.post("")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def issue() -> ResponseReturnValue:
    """Make a link; its address is shown once."""
    form = LinkForm.of_request()
    if form.hours.data not in _HOURS:
        form.refuse("hours", _("Choose one of these."))
    days = count(form.days.data)
    if not isinstance(days, int) or not 1 <= days <= register.MOST_LINK_DAYS:
        form.refuse("days", _("Give a number of days from 1 to %(most)s.", most=register.MOST_LINK_DAYS))
    if form.errors_at() or not may_change_access(form) or not isinstance(days, int):
        return _shown(form, 422)
    who = identity.current()
    with refusals_at(form), changing() as (session, site, now):
        last = ledger.today(session, site.code, now)
        _number, text = register.issue_inspection_link(
            session,
            site,
            form.whom.data or "",
            days=(last - timedelta(days=days - 1), last),
            hours=int(form.hours.data),
            by=who.author,
            at=now,
        )
        address = url_for("at_the_door.link_days", text=text, _external=True)
        return page("setup/inspection_link.html", address=address, whom=form.whom.data, hours=form.hours.data)
    return _shown(form, 422)


@blueprint.get("/<int:number>")
@requires(Permission.READ_SETUP)
def uses(number: int) -> ResponseReturnValue:
    """Show when a link was used, for what, and from where."""
    zone = identity.current().site.timezone
    with get_database().reading() as session:
        try:
            found = register.list_link_uses(session, kitchen(session), number)
        except register.Refused:
            abort(404)
    rows = [(words.local_date_time(one.at, zone), one.shown, one.address) for one in found]
    return page("setup/inspection_uses.html", rows=rows)


@blueprint.post("/<int:number>/end")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def end(number: int) -> ResponseReturnValue:
    """End a link at once."""
    with changing() as (session, site, now):
        try:
            link = register.revoke_inspection_link(session, site, number, at=now)
        except register.Refused:
            abort(404)
        whom = link.whom
    flash(_("The link for %(whom)s has ended.", whom=whom))
    return redirect(url_for("inspection_links.index"), 303)


def _shown(form: LinkForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as session:
        rows = [_row(link, used) for link, used in register.list_inspection_links(session, kitchen(session))]
    return page("setup/inspection_links.html", status, form=form, rows=_open_first(rows))


def _open_first(rows: Sequence[LinkRow]) -> list[LinkRow]:
    return sorted(rows, key=lambda row: not row.is_open)


def _row(link: InspectionLink, used: int) -> LinkRow:
    zone, now = identity.current().site.timezone, clock.utc_now()
    is_open = link.revoked_at is None and link.expires_at > now
    ends = words.local_date_time(link.revoked_at or link.expires_at, zone)
    return LinkRow(
        number=link.id,
        whom=link.whom,
        days=words.days_words(link.first, link.last),
        made=_("%(name)s, %(at)s", name=link.made_by, at=words.local_date_time(link.made_at, zone)),
        state=_("ends %(at)s", at=ends) if is_open else _("ended %(at)s", at=ends),
        is_open=is_open,
        uses=used,
    )
