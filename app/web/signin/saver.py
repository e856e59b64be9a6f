"""Who is saving this? Asked at a tablet when something is saved, with what was typed, of which nothing is lost.

The answer comes with the form itself: `saver` is the name, `pin` the PIN, and the entry is kept in the same request.
For somebody who was there within the last minutes the name is enough, but for what wants the PIN each time.
"""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NoReturn

from flask import abort, make_response, request
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, PasswordField, RadioField

from app import ledger, models, register, words
from app.kinds import Entry
from app.kinds.permissions import PIN_EACH_TIME, KnownBy, Permission, may
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from . import identity, kept_posts, sign_ins
from .checking import checked


class WhoForm(PageForm):
    """A name, and its PIN."""

    saver = RadioField(_l("Your name"), validate_choice=False)
    pin = PasswordField(_l("PIN"))
    next = HiddenField()

    @property
    def is_answered(self) -> bool:
        """Whether somebody said who they are, or began to."""
        return bool(self.saver.data or self.pin.data)


@dataclass(frozen=True, slots=True)
class Name:
    """Somebody who may be the one; `is_near`: was here within the last minutes, so the name alone is enough.

    Of two who share a name, each is shown with the sign-in name.
    """

    login: str
    name: str
    has_pin: bool
    is_near: bool


def who_saves(takes: Collection[Permission]) -> ledger.Caller | WhoForm:
    """Give in whose name the form that was sent is kept, or the question that is open; `takes`: what keeping it takes.

    A page that was opened while somebody else was at the tablet asks, too.
    """
    here = identity.current()
    if here.tablet is None:
        return here.caller
    form, wants_pin = WhoForm.of_request(), bool(PIN_EACH_TIME & set(takes))
    if form.is_answered:
        return _caller(wants_pin=wants_pin) if identify(form, takes) else form
    is_of_page = request.form.get("page_of", here.caller.login) == here.caller.login
    return here.caller if here.somebody and is_of_page and not wants_pin else form


def identify(form: WhoForm, takes: Collection[Permission] = (Permission.RECORD_KITCHEN_ENTRY,)) -> bool:
    """Let whoever the form names be at the tablet from now on; False with the error at its field."""
    name = next((name for name in names(takes) if name.login == form.saver.data), None)
    if name is None:
        form.refuse("saver", _("Tap your name."))
        return False
    if name.is_near and not form.pin.data and sign_ins.resume(name.login):
        return True
    person = _person_of_pin(form, name)
    if person is None:
        return False
    here = identity.current()
    sign_ins.sign_in(person, here.site.code, tablet=here.tablet)
    return True


def names(takes: Collection[Permission] = (Permission.RECORD_KITCHEN_ENTRY,)) -> list[Name]:
    """Give who may do all of this at a tablet, by name; whoever was here lately first, the last first."""
    with get_database().reading() as session:
        site = register.get_site(session, identity.current().site.code)
        listed = [person for person in register.list_people(session, site) if person.retired_at is None]
    able = sorted((person for person in listed if _can(person, takes)), key=lambda person: person.name)
    near = [] if PIN_EACH_TIME & set(takes) else [person.login for person in sign_ins.here_lately()]
    shown = Counter(person.name for person in able)
    found = [
        Name(
            one.login,
            one.name if shown[one.name] == 1 else f"{one.name} ({one.login})",
            has_pin=bool(one.pin_hash),
            is_near=one.login in near,
        )
        for one in able
    ]
    return sorted(found, key=lambda name: near.index(name.login) if name.is_near else len(near))


def ask(form: WhoForm, entries: Sequence[Entry], takes: Collection[Permission]) -> NoReturn:
    """Answer with the question instead: what was typed in words, the names, and the PIN. Nothing is kept yet."""
    zone = identity.current().site.timezone
    answer = make_response(
        page(
            "signin/saver.html",
            401,
            form=form,
            names=names(takes),
            typed=[(words.kind_word(entry.kind), words.line_words(entry, zone)) for entry in entries],
            action=kept_posts.sent_to(),
            kept=kept_posts.sent(),
        )
    )
    answer.headers["X-Asks"] = "who"  # for a script that sends the form: this is the page to show
    abort(answer)


def _caller(*, wants_pin: bool) -> ledger.Caller:
    return replace(identity.current().caller, pin_again=wants_pin)


def _person_of_pin(form: WhoForm, name: Name) -> models.Person | None:
    typed = form.pin.data or ""
    if not name.has_pin:
        form.refuse("saver", _("%(name)s has no PIN yet. The person in charge sets one.", name=name.name))
        return None
    if not typed:
        form.refuse("pin", _("Type the PIN of %(name)s.", name=name.name))
        return None
    with get_database().reading() as session:
        site = register.get_site(session, identity.current().site.code)
    return checked(form, "pin", site, name.login, lambda session: register.check_pin(session, site, name.login, typed))


def _can(person: models.Person, takes: Collection[Permission]) -> bool:
    """Whether a tablet is for this person and this: whoever only reads signs in with the password."""
    return all(may(person.role, one, KnownBy.PIN_AGAIN) for one in (Permission.RECORD_KITCHEN_ENTRY, *takes))
