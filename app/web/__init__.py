"""The pages: a blueprint for each subject, and what every template may use."""

from datetime import datetime
from importlib import import_module
from typing import Any

from flask import Flask, request
from flask_babel import get_locale

from .. import clock, ledger
from app.server import get_database
from ..logs import words
from . import identity, navigation

_SUBJECTS = ("signin", "patterns")

_DEFAULTS = {
    "TABLET_IDLE_MIN": 10,
    "SESSION_IDLE_MIN": 60,
    "SESSION_HOURS": 12,
}


def init_app(app: Flask) -> None:
    """Add the pages to the app."""
    for name, value in _DEFAULTS.items():
        app.config.setdefault(name, value)
    for subject in _SUBJECTS:
        app.register_blueprint(import_module(f"app.web.{subject}").blueprint)
    app.jinja_env.globals["words"] = words
    app.context_processor(_shared)


def _shared() -> dict[str, Any]:
    person = identity.find_current()
    now = clock.utc_now()
    shared = {
        "identity": person,
        "language": str(get_locale() or "en"),
        "layout": "_parts/fragment.html" if request.headers.get("X-Fragment") else "base.html",
        "now": now,
    }
    if person is None:
        return shared
    return {**shared, "zone": person.site.timezone, "today": _today(person, now), "navigation": navigation.items(person.person.role)}


def _today(person: identity.Identity, now: datetime) -> Any:
    with get_database().reading() as session:
        return ledger.today(session, person.site.code, now)
