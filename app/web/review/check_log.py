"""For anybody who holds a printed log as a file: is it ours, is it unchanged, do the records still say the same?"""

from collections.abc import Sequence
from dataclasses import dataclass
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
from app.server.errors import read_off
from app.server.kept_logs import check_logs
from app.server.kept_logs.bounded import TooManyAtOnce
from app.server.kept_logs.public_check import Looked, look_at

from ..parts.page_form import PageForm
from ..parts.pages import page

blueprint = Blueprint("check_log", __name__)

LARGEST = 16 * 1024 * 1024
"""Bytes of what is looked at: the first log of a kitchen attaches all that was written before."""
MOST = 6
"""Files at once: reading one takes about a second."""
_LONGEST_NAME = 100
_A_MINUTE, _A_MINUTE_IN_ALL = 6, 30
"""Files from one address, and from all: reading one takes a processor for a part of a second."""


class CheckForm(PageForm):
    """The files."""

    log = FileField(_l("Log (PDF)"))


@dataclass(frozen=True, slots=True)
class NamedAnswer:
    """What is said of one file."""

    name: str
    looked: Looked


@blueprint.get("/check")
def form() -> ResponseReturnValue:
    """Ask for a file."""
    return _shown(CheckForm(), [], 200)


@blueprint.post("/check")
def check() -> ResponseReturnValue:
    """Say of files whether they were issued here and are unchanged, and what became of their records; keep nothing."""
    request.max_content_length = LARGEST
    form = CheckForm()
    try:
        sent = [(_name(file.filename), file.read()) for file in request.files.getlist("log")]
    except RequestEntityTooLarge:
        read_off()
        form.refuse("log", _("This is larger than 16 MB. Check it with check_logs.py, on your own computer."))
        return _shown(form, [], 413)
    files = [(name, content) for name, content in sent if name or content]
    if not files:
        form.refuse("log", _("Choose the PDF of a log."))
    elif len(files) > MOST:
        form.refuse("log", _("Choose six files at most. check_logs.py checks a whole folder."))
    for name in [name for name, content in files if not content]:
        form.refuse("log", _("%(name)s is empty. Choose the PDF of a log.", name=name))
    return _shown(form, [], 422) if form.errors_at() else _answered(form, files)


def _answered(form: CheckForm, files: Sequence[tuple[str, bytes]]) -> ResponseReturnValue:
    answers: list[NamedAnswer] = []
    try:
        for name, content in files:
            if not _may_ask():
                raise TooManyAtOnce
            answers.append(NamedAnswer(name, look_at(content, at=clock.utc_now())))
    except TooManyAtOnce:
        form.refuse(None, _("Many files are being checked. Try again in a minute."))
        if answers:
            form.refuse(None, _("Not checked: %(names)s", names=", ".join(name for name, _c in files[len(answers) :])))
    return _shown(form, answers, 429 if form.errors_at() else 200)


def _shown(form: CheckForm, answers: Sequence[NamedAnswer], status: int) -> ResponseReturnValue:
    return page("review/check_log.html", status, form=form, answers=answers)


def _name(given: str | None) -> str:
    """Give a file's name as it can be printed: whoever made the file may have named it."""
    return "".join(letter for letter in given or "" if letter.isprintable())[:_LONGEST_NAME]


@blueprint.get("/check/check_logs.py")
def checker() -> ResponseReturnValue:
    """Give the program that checks a log on one's own computer."""
    headers = {"Content-Disposition": "attachment; filename=check_logs.py"}
    return Response(Path(check_logs.__file__).read_bytes(), mimetype="text/x-python", headers=headers)


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
