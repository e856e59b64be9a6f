"""For anybody who holds a printed log as a file: is it ours, is it unchanged, do the records still say the same?"""

from pathlib import Path

from flask import Blueprint, Response, request
from flask.blueprints import BlueprintSetupState
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from werkzeug.exceptions import RequestEntityTooLarge
from wtforms import FileField

from app import clock, register
from app.server import get_database
from app.server.kept_logs import check_logs
from app.server.kept_logs.bounded import TooManyAtOnce
from app.server.kept_logs.public_check import look_at

from ..parts.page_form import PageForm
from ..parts.pages import page

blueprint = Blueprint("check_log", __name__)

LARGEST = 16 * 1024 * 1024
"""Bytes of a log that is looked at: the first log of a kitchen attaches all that was written before."""
_A_MINUTE, _A_MINUTE_IN_ALL = 6, 30
"""Files from one address, and from all: reading one takes a processor for a part of a second."""


class CheckForm(PageForm):
    """The file."""

    log = FileField(_l("Log (PDF)"))


@blueprint.get("/check")
def form() -> ResponseReturnValue:
    """Ask for a file."""
    return page("review/check_log.html", form=CheckForm(), looked=None)


@blueprint.post("/check")
def check() -> ResponseReturnValue:
    """Say of a file whether it was issued here and is unchanged, and what became of its records; keep nothing."""
    request.max_content_length = LARGEST
    form = CheckForm()
    try:
        file = request.files.get("log")
        content = file.read() if file else b""
    except RequestEntityTooLarge:
        form.refuse("log", _("The file is larger than 16 MB. Check it with check_logs.py, on your own computer."))
        return page("review/check_log.html", 413, form=form, looked=None)
    if not content:
        form.refuse("log", _("Choose the PDF of a log."))
        return page("review/check_log.html", 422, form=form, looked=None)
    if not _may_ask():
        return _too_many(form)
    try:
        looked = look_at(content, at=clock.utc_now())
    except TooManyAtOnce:
        return _too_many(form)
    return page("review/check_log.html", form=form, looked=looked)


@blueprint.get("/check/check_logs.py")
def checker() -> ResponseReturnValue:
    """Give the program that checks a log on one's own computer."""
    headers = {"Content-Disposition": "attachment; filename=check_logs.py"}
    return Response(Path(check_logs.__file__).read_bytes(), mimetype="text/x-python", headers=headers)


def _too_many(form: CheckForm) -> ResponseReturnValue:
    form.refuse(None, _("Many files are being checked. Try again in a minute."))
    return page("review/check_log.html", 429, form=form, looked=None)


def _may_ask() -> bool:
    at = clock.utc_now()
    keys = [(register.throttle_key("use", "check", request.remote_addr), _A_MINUTE)]
    keys.append((register.throttle_key("use", "check"), _A_MINUTE_IN_ALL))
    with get_database().writing() as session:
        return all(register.spend(session, key, at, a_minute=allowed) for key, allowed in keys)


@blueprint.record_once
def _needs_no_key(state: BlueprintSetupState) -> None:
    """Nothing is changed by it, and whoever asks is nobody here: there is nothing for a forged form to ride on."""
    state.app.extensions["csrf"].exempt(blueprint)
