"""A new kitchen is set up by whoever has the link that the terminal printed, once; until then nothing is kept."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, flash, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import HiddenField, PasswordField, RadioField, StringField

from app import clock, models, register, words
from app.kinds.permissions import FIRST_ROLE
from app.rules.plans import plan as rules_plan
from app.server import get_database
from app.server.plan_asking import ask_for_document

from ..parts.first_steps import FOLLOWED
from ..parts.forms import count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import sign_ins
from .index import refusals_at
from .plan_page import own_plan
from .site import zones

blueprint = Blueprint("begin", __name__, url_prefix="/begin")

_METRIC = {"clock": "24", "unit": "C"}
_HABITS: Mapping[str, Mapping[str, str]] = {"US": {"clock": "12", "unit": "F"}}
"""By what a country's kitchens mostly read the clock and a thermometer; it is only preset."""

_COUNTRIES = ("US", "CA", "GB", "AU")

RECOMMENDED_PLACES = "breast,thigh"
"""Where a whole bird is probed: thickest part of the breast and innermost part of the thigh. USDA consumer advice."""


class BeginForm(PageForm):
    """The kitchen, and who is in charge of it first."""

    code = HiddenField()
    places = HiddenField()
    name = StringField(_l("Name of the kitchen"))
    timezone = StringField(_l("Time zone"))
    authority = StringField(_l("This code was adopted here by"))
    unit = RadioField(_l("Thermometers show"), choices={"F": "°F", "C": "°C"}, validate_choice=False)
    clock = RadioField(
        _l("Times are shown by a"),
        choices=lambda: {"12": _("12-hour clock: 3:39 pm"), "24": _("24-hour clock: 15:39")},
        validate_choice=False,
    )
    your_name = StringField(_l("Your name, as it is printed on the log"))
    login = StringField(_l("Sign-in name"))
    password = PasswordField(_l("Password"))
    again = PasswordField(_l("The same password again"))
    pin = PasswordField(_l("PIN for the tablets"))


@dataclass(frozen=True, slots=True)
class Choice:
    """A code of law as the list offers it: what it is, and what it means for a chicken."""

    code: str
    title: str
    kind: str
    means: str


@dataclass(frozen=True, slots=True)
class Country:
    """The codes of one country."""

    name: str
    choices: list[Choice]


@blueprint.get("/<link>")
def code(link: str) -> ResponseReturnValue:
    """Choose the code of law, from a list by country."""
    return _closed(link) or page("setup/begin_code.html", link=link, countries=_countries())


@blueprint.route("/<link>/kitchen", methods=["GET", "POST"])
def kitchen(link: str) -> ResponseReturnValue:
    """Name the kitchen and its first person in charge; only now is anything kept, and all of it at once."""
    if closed := _closed(link):
        return closed
    chosen = request.values.get("code", "")
    if chosen not in rules_plan.codes():
        return redirect(url_for("begin.code", link=link), 303)
    presets = {"code": chosen, "places": request.args.get("places"), **_habits(chosen)}
    form = BeginForm.of_request(**presets)
    with refusals_at(form, {"site": "name"}):
        if request.method == "POST" and (made := _made(form, link)) is not None:
            lead, site_code = made
            sign_ins.sign_in(lead, site_code, tablet=None)
            session[FOLLOWED] = True
            flash(_("The kitchen is set up, and you are in charge. Next is what the first reading needs."))
            return redirect(url_for("first_day.go_on"), 303)
    title = str(rules_plan.read_code(chosen)["title"])
    is_model = rules_plan.read_code(chosen)["kind"] == "model_code"
    about = {"link": link, "title": title, "is_model": is_model, "zones": zones()}
    return page("setup/begin_kitchen.html", 422 if form.errors_at() else 200, form=form, **about)


def _made(form: BeginForm, link: str) -> tuple[models.Person, str] | None:
    """Make the kitchen of a form; None with the errors at their fields. Raises Refused."""
    login = (form.login.data or "").strip() or register.login_of(form.your_name.data or "")
    _hold_passwords_equal(form)
    hashed = register.hash_password(form.password.data or "", login=login)
    pin = register.hash_pin(form.pin.data) if form.pin.data else None
    if form.errors_at():
        return None
    with get_database().writing() as database:
        now = clock.utc_now()
        register.use_set_up_link(database, link, at=now)
        lead, site_code = _write(form, database, login=login, password=hashed, pin=pin)
        return lead, site_code


def _write(
    form: BeginForm, database: Session, *, login: str, password: register.Hashed, pin: register.Hashed | None
) -> tuple[models.Person, str]:
    now, by = clock.utc_now(), register.Author("session", login)
    name, habits = form.name.data or "", {"clock": count(form.clock.data), "unit": form.unit.data or None}
    zone, site_code = form.timezone.data or "", register.free_site_code(database, name)
    made = register.add_site(database, site_code, name=name, timezone=zone, at=now, by=by, **habits)
    about = {"name": form.your_name.data or "", "role": FIRST_ROLE}
    try:
        lead = register.add_person(database, made, login, **about, password=password, at=now, by=by)
    except register.Refused as refused:
        field = "your_name" if refused.field == "name" else refused.field
        raise register.Refused(field, refused.code, **refused.values) from None
    settings = {"places_per_bird": RECOMMENDED_PLACES} if form.places.data == RECOMMENDED_PLACES else {}
    authority = form.authority.data or ""
    register.adopt_plan(database, made, form.code.data, settings, by=lead, at=now, authority=authority, via="session")
    if pin is not None:
        register.set_pin(database, lead, pin, at=now, by=by)
    ask_for_document(database, made.code, at=now)
    return lead, made.code


def _hold_passwords_equal(form: BeginForm) -> None:
    if form.password.data and form.password.data != form.again.data:
        form.refuse("again", _("This is not the same password. Type both again."))


def _habits(chosen: str) -> Mapping[str, str]:
    return _HABITS.get(str(rules_plan.read_code(chosen)["country"]), _METRIC)


def _closed(link: str) -> ResponseReturnValue | None:
    """Give the page that says why a link does not open; None for one that does."""
    with get_database().reading() as database:
        state = register.set_up_link_state(database, link, at=clock.utc_now())
    return None if state is register.LinkState.OPENS else page("setup/begin_closed.html", 410, state=state.name)


def _countries() -> list[Country]:
    """Give the codes by country, the newest edition of a country first."""
    today = clock.utc_now().date()
    found: dict[str, list[Choice]] = {}
    for name in rules_plan.codes():
        plan, country = own_plan(name, clock.utc_now(), today), str(rules_plan.read_code(name)["country"])
        choice = Choice(name, plan.title, words.provenance_word(plan.kind), _meaning(plan))
        found.setdefault(country, []).insert(0, choice)
    return [Country(words.country_word(country), found[country]) for country in sorted(found, key=_COUNTRIES.index)]


def _meaning(plan: rules_plan.Plan) -> str:
    """Say in one line what a code asks of a chicken."""
    said = {name: words.setting_value(plan.limits, name) for name in _SAID}
    held = _(" for %(time)s", time=said["cook_dwell_s"]) if plan.limits.cook_dwell_s else ""
    cooked = _("Cooked to %(limit)s%(held)s.", limit=said["cook_core"], held=held)
    hot = _("Held hot at %(limit)s or above.", limit=said["hot_holding"])
    cold = _("Held cold at %(limit)s or below.", limit=said["cold_holding"])
    cooled = _("Cooled to %(limit)s.", limit=said["cool_total"])
    return f"{cooked} {hot} {cold} {cooled}"


_SAID = ("cook_core", "cook_dwell_s", "hot_holding", "cold_holding", "cool_total")
