"""The pages: a blueprint for each subject, and what every template may use."""

from datetime import date, datetime, timedelta
from typing import Any

from flask import Flask, Response, g, request
from flask_babel import get_locale

from app import clock, ledger, words
from app.db import milliseconds
from app.server import get_database

from .kitchen import (
    already_out,
    batches_out,
    checklists,
    cooking,
    cooling,
    findings,
    from_paper,
    holding,
    home,
    meanwhile,
    out_of_use,
    probes,
    pulling,
    readings,
    reheating,
    silencing,
    starting,
    storage,
    time_control,
    trays_out,
    undoing,
)
from .parts import first_steps, navigation, plain_address
from .patterns import page as patterns
from .review import (
    at_the_door,
    bird_cost,
    calendar,
    calibration,
    charts,
    check_log,
    days,
    export,
    inspection,
    mending,
    plan_document,
    releasing,
    review,
    signed_logs,
    signing,
    tracing,
    trend_lists,
    trends,
    verification,
    weeks,
)
from .setup import (
    begin,
    credentials,
    equipment,
    first_day,
    inspection_links,
    mail,
    people,
    phrases,
    plan,
    plan_changes,
    plan_texts,
    reassessing,
    site,
)
from .setup import index as setup
from .signin import account, identity, password_again
from .signin import sign_in as signin

_SUBJECTS = (
    *(signin, home, starting, cooking, pulling, holding, trays_out, undoing, findings, mending, from_paper, patterns),
    *(meanwhile,),
    *(days, review, verification, releasing, signing, inspection, tracing, charts, plan_document, check_log),
    *(signed_logs,),
    *(probes, storage, cooling, batches_out, reheating, time_control, already_out, checklists, out_of_use, silencing),
    *(trends, trend_lists, weeks, calibration),
    *(
        begin,
        first_day,
        setup,
        site,
        people,
        equipment,
        plan,
        plan_changes,
        plan_texts,
        reassessing,
        phrases,
        mail,
        bird_cost,
    ),
    *(credentials, account),
    *(export, calendar, at_the_door, inspection_links),
)

_ONE_DAY = timedelta(days=1)
_A_MINUTE = timedelta(minutes=1)
_FAILED = 500

_DEFAULTS = {
    "TABLET_IDLE_MIN": 10,
    "PERSON_RECENT_MIN": 5,
    "SESSION_IDLE_MIN": 60,
    "SESSION_HOURS": 12,
}


def init_app(app: Flask) -> None:
    """Add the pages to the app."""
    for name, value in _DEFAULTS.items():
        app.config.setdefault(name, value)
    for subject in _SUBJECTS:
        app.register_blueprint(subject.blueprint)
    app.jinja_env.globals.update(
        words=words,
        may=identity.may,
        page_of=identity.page_of,
        asks_own_password=password_again.asks_own_password,
        first_day_step=first_steps.here,
        is_plain_address=plain_address.is_plain_address,
        last_probe=readings.last_probe,
        day_before=lambda day: day - _ONE_DAY,
    )
    app.context_processor(_shared)
    app.after_request(_tell_time)
    app.teardown_request(_forget_how_it_was_said)


def _shared() -> dict[str, Any]:
    person = identity.find_current()
    now = clock.utc_now()
    shared = {
        "identity": person,
        "here": navigation.here(),
        "language": str(get_locale() or "en"),
        "layout": "_parts/fragment.html" if request.headers.get("X-Fragment") else "base.html",
        "now": now,
    }
    if person is None:
        return shared
    return {
        **shared,
        "zone": person.site.timezone,
        "clock_hours": words.clock_hours(),
        "today": _today(person, now),
        "behind_min": _behind_min(person, now),
        "navigation": navigation.items(person.role),
    }


def _tell_time(response: Response) -> Response:
    """Let a page that asks for a part of itself hold its own clock to the server's, and say whose clock is wrong."""
    if request.headers.get("X-Fragment"):
        now = clock.utc_now()
        response.headers["X-Now"] = str(milliseconds(now))
        person = g.get("identity")
        if person is not None and response.status_code < _FAILED and (behind := _behind_min(person, now)):
            response.headers["X-Behind"] = str(behind)
    return response


def _behind_min(person: identity.Identity, now: datetime) -> int:
    """Give how many minutes the server's clock is behind the records, begun ones whole; 0 where it is not."""
    with get_database().reading() as session:
        found = ledger.site_clock_behind(session, person.site.code, now)
    return -(-found.behind // _A_MINUTE) if found else 0


def _forget_how_it_was_said(_error: BaseException | None) -> None:
    words.show_whole()
    words.show_usual_clock()
    words.show_own_checks({})


def _today(person: identity.Identity, now: datetime) -> date:
    with get_database().reading() as session:
        return ledger.today(session, person.site.code, now)
