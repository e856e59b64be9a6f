"""The phrases that a corrective action offers for each rule: the kitchen's own, or the usual ones."""

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import TextAreaField

from app import register, words
from app.kinds.permissions import Permission
from app.rules.day.registry import RULES
from app.server import get_database

from ..kitchen.phrases import phrases_of
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin.identity import requires
from .index import kitchen, refusals_at

blueprint = Blueprint("phrases", __name__, url_prefix="/setup/phrases")


class PhrasesForm(PageForm):
    """One phrase a line."""

    cause = TextAreaField(_l("What caused it"))
    action = TextAreaField(_l("What was done"))
    prevention = TextAreaField(_l("How to stop it happening again"))


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """List the rules, and which of them have phrases of the kitchen's own."""
    with get_database().reading() as session:
        own = set(register.find_phrases(session, kitchen(session)))
    return page("setup/phrases.html", rules=[(rule, words.rule_word(rule), rule in own) for rule in RULES])


@blueprint.get("/<rule>")
@requires(Permission.READ_SETUP)
def of_rule(rule: str) -> ResponseReturnValue:
    """Show the phrases of a rule, and the form to change them."""
    with get_database().reading() as session:
        own = register.find_phrases(session, kitchen(session))
    offered = phrases_of(_checked(rule), own)
    lines = {part: "\n".join(phrases) for part, phrases in offered.items()}
    return _of_rule(rule, PhrasesForm.of_request(**lines), is_own=rule in own)


@blueprint.post("/<rule>")
@requires(Permission.KEEP_PHRASES)
def change(rule: str) -> ResponseReturnValue:
    """Set the phrases of a rule, or go back to the usual ones."""
    _checked(rule)
    form = PhrasesForm.of_request()
    with refusals_at(form):
        with get_database().writing() as session:
            if request.form.get("usual"):
                register.forget_phrases(session, kitchen(session), rule)
            else:
                lines = {part: (form[part].data or "").splitlines() for part in register.PARTS}
                register.set_phrases(session, kitchen(session), rule, lines)
        flash(_("The phrases are set."))
        return redirect(url_for("phrases.of_rule", rule=rule), 303)
    return _of_rule(rule, form, is_own=True, status=422)


def _of_rule(rule: str, form: PhrasesForm, *, is_own: bool, status: int = 200) -> ResponseReturnValue:
    return page("setup/phrases_of_rule.html", status, rule=rule, form=form, is_own=is_own)


def _checked(rule: str) -> str:
    return rule if rule in RULES else abort(404)
