"""An inspector at the door: one page with the last days, the plan, probe checks and each log.

For whoever is signed in and may read days; or by a link that ends by itself, for somebody without an account: it shows
these pages and nothing else, keeps no cookie, and every use of it is written down.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import wraps

from flask import Blueprint, Response, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app import clock, ledger, register, words
from app.kinds.permissions import Permission
from app.logs.heading import place_words
from app.logs.verification import calibration, write_calibration
from app.rules.facts import Site
from app.rules.figures.day_figures import Standing
from app.server import drawings, get_database
from app.server.kept_plans import printed_plan
from app.server.plan_document import read_plan

from ..parts.pages import page
from ..parts.standings import read_standings
from ..signin import identity
from ..signin.identity import requires
from .review import get_day

blueprint = Blueprint("at_the_door", __name__)

DAYS = 30
_ONE_DAY = timedelta(days=1)
_A_MINUTE = 60
"""Pages a minute that one link shows."""
_NOT_FOUND = 404


@dataclass(frozen=True, slots=True, kw_only=True)
class Addresses:
    """Where the files of the page are."""

    plan: str
    probes: str
    log: Callable[[date], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorPage:
    """The last days of a kitchen at a glance, the newest first."""

    site: Site
    place: str
    first: date
    last: date
    days: Sequence[tuple[date, Standing]]
    addresses: Addresses
    is_link: bool
    ends: str
    """When the link ends; empty for who is signed in."""
    as_of: str


# ---- signed in ------------------------------------------------------------------------------------------------------


@blueprint.get("/inspection/days")
@requires(Permission.READ_DAY)
def signed_in() -> ResponseReturnValue:
    """Show the last thirty days."""
    code = identity.current().site.code
    last = _today(code)
    first = last - _ONE_DAY * (DAYS - 1)
    with get_database().reading() as session:
        number = ledger.read_plans(session, code)[-1].version
    addresses = Addresses(
        plan=url_for("plan_document.pdf", number=number),
        probes=url_for("calibration.pdf", first=first, last=last),
        log=lambda day: url_for("review.log_pdf", day=day),
    )
    return page("inspection/door.html", view=_door_page(code, first, last, addresses, None))


# ---- by a link ------------------------------------------------------------------------------------------------------

_View = Callable[..., ResponseReturnValue]


def _by_link(view: _View) -> _View:
    """Open the link of an address, and write down that it was used; one that does not open says so and no more."""

    @wraps(view)
    def opened(text: str, **more: str) -> ResponseReturnValue:
        now, sender = clock.utc_now(), request.remote_addr or ""
        key = register.throttle_key("token", sender)
        with get_database().writing() as session:
            if register.is_blocked(session, key, now):
                return _refused(429)
            link = register.open_inspection_link(session, text, at=now)
            if link is None:
                register.record_failure(session, key, now)
                return _refused(_NOT_FOUND)
            used = register.throttle_key("use", "inspection", link.number)
            if not register.spend(session, used, now, a_minute=_A_MINUTE):
                return _refused(429)
            shown = " ".join([view.__name__.removeprefix("link_"), *more.values()])
            register.record_use(session, link.number, shown, address=sender, at=now)
            words.show_clock(ledger.calendar_of(session, link.site_code).site.clock)
        return view(link, text, **more)

    return opened


def _refused(status: int) -> ResponseReturnValue:
    return render_template("inspection/no_link.html", is_busy=status != _NOT_FOUND), status, {"X-Robots-Tag": "noindex"}


@blueprint.get("/inspect/<text>")
@_by_link
def link_days(link: register.OpenLink, text: str) -> ResponseReturnValue:
    """Show the days of a link."""
    addresses = Addresses(
        plan=url_for("at_the_door.link_plan", text=text),
        probes=url_for("at_the_door.link_probes", text=text),
        log=lambda day: url_for("at_the_door.link_log", text=text, day=day),
    )
    view = _door_page(link.site_code, link.first, link.last, addresses, link.expires_at)
    return page("inspection/door.html", view=view)


@blueprint.get("/inspect/<text>/plan.pdf")
@_by_link
def link_plan(link: register.OpenLink, text: str) -> ResponseReturnValue:
    """Give the plan in force."""
    with get_database().reading() as session:
        content = printed_plan(session, read_plan(session, link.site_code, as_of=clock.utc_now()))
    return _file(content, f"{link.site_code}-plan.pdf")


@blueprint.get("/inspect/<text>/probes.pdf")
@_by_link
def link_probes(link: register.OpenLink, text: str) -> ResponseReturnValue:
    """Give the checks of all probes on the days of a link."""
    now, code = clock.utc_now(), link.site_code
    with get_database().reading() as session:
        head, calendar = ledger.head(session, code), ledger.calendar_of(session, code)
        since, until = calendar.start_of(link.first), min(calendar.start_of(link.last + _ONE_DAY), now)
        checks = ledger.probe_checks(session, code, since=since, until=until)
    days, plan = (link.first, link.last), calendar.plan_of(link.last)
    view = calibration(calendar.site, plan, checks, days=days, as_of=now, head=head)
    return _file(write_calibration(view), f"{code}-calibration.pdf")


@blueprint.get("/inspect/<text>/<day>/log.pdf")
@_by_link
def link_log(link: register.OpenLink, text: str, day: str) -> ResponseReturnValue:
    """Give the log of a day of a link: as a file, or a page that fetches it once it is made."""
    on = get_day(day)
    if not link.first <= on <= link.last:
        return _refused(_NOT_FOUND)
    try:
        asked = drawings.ask_for_log(link.site_code, on)
    except (drawings.TooManyWaiting, drawings.NotDrawn):
        return _refused(503)
    if asked.pdf is None:
        # Asks again by itself, without a script, until the answer is the file.
        return render_template("inspection/wait.html", day=on), 202, {"Refresh": f"2; url={request.path}"}
    return _file(asked.pdf, f"{link.site_code}-{on.isoformat()}-log.pdf")


# ---- what both show -------------------------------------------------------------------------------------------------


def _door_page(code: str, first: date, last: date, addresses: Addresses, ends_at: datetime | None) -> DoorPage:
    now = clock.utc_now()
    with get_database().reading() as session:
        site = ledger.calendar_of(session, code).site
    standings: Mapping[date, Standing] = read_standings(code, first, last)
    return DoorPage(
        site=site,
        place=place_words(site),
        first=first,
        last=last,
        days=sorted(standings.items(), reverse=True),
        addresses=addresses,
        is_link=ends_at is not None,
        ends=words.local_date_time(ends_at, site.timezone) if ends_at else "",
        as_of=words.local_date_time(now, site.timezone),
    )


def _today(code: str) -> date:
    with get_database().reading() as session:
        return ledger.today(session, code, clock.utc_now())


def _file(content: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}"', "X-Robots-Tag": "noindex"}
    return Response(content, mimetype="application/pdf", headers=headers)
