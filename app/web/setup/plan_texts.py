"""What the kitchen writes into its plan itself: a text a part, with the files that belong to it."""

from dataclasses import replace
from typing import Any

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import FileField, TextAreaField

from app import clock, register, words
from app.kinds.permissions import Permission
from app.register import LARGEST_FILE
from app.rules.plans.adopted_values import TEXTS
from app.server import get_database
from app.server.file_kinds import media_type_of

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .index import changing, kitchen, refusals_at
from .plan import Coming, read_coming

blueprint = Blueprint("plan_texts", __name__, url_prefix="/setup/plan/text")

_LONGEST = 5000
"""Letters of a text: what is longer is a file."""
_LARGEST_REQUEST = 4 * LARGEST_FILE
"""Bytes: a file that is too large is refused at its field, with the text still there, and not before it is read."""


@blueprint.url_value_preprocessor
def _take_files(_endpoint: str | None, _values: dict[str, Any] | None) -> None:
    # Before anything reads the form, as the check against forged posts does.
    request.max_content_length = _LARGEST_REQUEST


@blueprint.teardown_request
def _close_files(_error: BaseException | None) -> None:
    request.close()


class TextForm(PageForm):
    """A part of the plan in the kitchen's own words."""

    text = TextAreaField(_l("Text"))
    file = FileField(_l("Add a file: PDF, PNG or JPEG, at most 10 MB"))


@blueprint.get("/<part>")
@requires(Permission.READ_SETUP)
def write(part: str) -> ResponseReturnValue:
    """Show a part as the next version has it, and the form to change it."""
    next_one = _coming(_checked(part))
    return _page(part, TextForm(data={"text": next_one.own.texts.get(part, "")}), next_one)


@blueprint.post("/<part>")
@requires(Permission.ADOPT_PLAN)
def put(part: str) -> ResponseReturnValue:
    """Put a text, and perhaps a file, into the next version of the plan."""
    _checked(part)
    form = TextForm.of_request()
    text = "\n".join(line.rstrip() for line in (form.text.data or "").strip().splitlines())
    if len(text) > _LONGEST:
        form.refuse("text", _("At most %(high)s letters. Add what is longer as a file.", high=_LONGEST))
    content, name = _file()
    if not form.errors_at():
        with refusals_at(form):
            media_type = media_type_of(content) if content is not None else ""
            with changing() as (session, site, now):
                next_one = read_coming(session, site, register.find_draft(session, site))
                texts = {key: said for key, said in {**next_one.own.texts, part: text}.items() if said}
                own = replace(next_one.own, texts=texts)
                if content is not None:
                    about = {"media_type": media_type, "name": name, "part": part}
                    file = register.keep_file(session, site, content, **about, at=now)
                    others = [one for one in own.attachments if one.digest != file.digest]
                    own = replace(own, attachments=[*others, file])
                draft = replace(next_one.draft, own=own)
                register.keep_draft(session, site, draft, by=identity.current().person.login, at=now)
            flash(_("It is in the next version. Adopt that version to bring it into force."))
            return redirect(url_for("plan_texts.write", part=part), 303)
    return _page(part, form, _coming(part), 422)


@blueprint.post("/<part>/remove")
@requires(Permission.ADOPT_PLAN)
def remove(part: str) -> ResponseReturnValue:
    """Take a file out of the next version; earlier versions keep it."""
    with changing() as (session, site, now):
        next_one = read_coming(session, site, register.find_draft(session, site))
        left = [one for one in next_one.own.attachments if one.digest != request.form.get("digest")]
        draft = replace(next_one.draft, own=replace(next_one.own, attachments=left))
        register.keep_draft(session, site, draft, by=identity.current().person.login, at=now)
    flash(_("The file is no longer in the next version."))
    return redirect(url_for("plan_texts.write", part=_checked(part)), 303)


def _file() -> tuple[bytes | None, str]:
    """Give the file that was sent with the form; None where none was chosen."""
    sent = request.files.get("file")
    if sent is None or not sent.filename:
        return None, ""
    return sent.read(LARGEST_FILE + 1), sent.filename


def _coming(part: str) -> Coming:
    with get_database().reading() as session:
        site = kitchen(session)
        return read_coming(session, site, register.find_draft(session, site))


def _page(part: str, form: TextForm, next_one: Coming, status: int = 200) -> ResponseReturnValue:
    view = {
        "part": part,
        "title": words.plan_text_title(part),
        "asks": words.plan_text_asks(part),
        "files": [one for one in next_one.own.attachments if one.part == part],
        "largest": LARGEST_FILE,
        "now": clock.utc_now(),
    }
    return page("setup/plan_text.html", status, form=form, **view)


def _checked(part: str) -> str:
    return part if part in TEXTS else abort(404)
