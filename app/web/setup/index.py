"""Setting the kitchen up: the page that leads to people, equipment, plan, tablets and tokens, and what those share."""

from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from types import MappingProxyType

from flask import Blueprint
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app import clock, ledger, models, register, words
from app.kinds.permissions import Permission
from app.rules.plans.plan import new_groups
from app.rules.plans.settings import PlanRefused
from app.server import get_database, site_lock
from app.server.plan_document import read_reassessment

from ..parts import first_steps
from ..parts.forms import clock_told, measured
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("setup", __name__)


@dataclass(frozen=True, slots=True)
class Overview:
    """How much of everything is set up."""

    people: int
    equipment: int
    plan: int
    reassess: bool
    """Whether the plan is to be looked at again as a whole."""
    has_new_rules: bool
    """Whether there are groups of rules that start with the next adoption of a plan."""
    mail_addresses: int
    bird_cost: str
    tablets: int
    tokens: int


@blueprint.get("/setup")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show what is set up, and where to change it."""
    with get_database().reading() as session:
        site, plan = kitchen(session), ledger.read_plans(session, identity.current().site.code)[-1]
        valid = [credential for credential in register.list_credentials(session, site) if credential.revoked_at is None]
        overview = Overview(
            people=sum(person.retired_at is None for person in register.list_people(session, site)),
            equipment=sum(item.retired_at is None for item in register.list_equipment(session, site)),
            plan=plan.version,
            reassess=read_reassessment(session, site.code, as_of=clock.utc_now()).is_due,
            has_new_rules=bool(new_groups(plan, clock.utc_now().date())),
            mail_addresses=len(register.list_addresses(session, site)),
            bird_cost=_bird_cost(site),
            tablets=sum(credential.is_tablet for credential in valid),
            tokens=sum(not credential.is_tablet for credential in valid),
        )
    return page("setup/index.html", overview=overview, steps=first_steps.steps())


def _bird_cost(site: models.Site) -> str:
    cost = register.find_bird_cost(site)
    return words.money(*cost) if cost else ""


def kitchen(session: Session) -> models.Site:
    """Give the site of who is at the screen."""
    return register.get_site(session, identity.current().site.code)


def changing() -> AbstractContextManager[tuple[Session, models.Site, datetime]]:
    """Change the register of the kitchen of who is at the screen: `with changing() as (session, site, now):`."""
    return site_lock.changing(identity.current().site.code)


@contextmanager
def refusals_at(form: PageForm, places: Mapping[str, str] = MappingProxyType({})) -> Iterator[None]:
    """Put a refusal of the register, or of the server's clock, at its field; its transaction keeps nothing.

    `places` says where the form calls a field otherwise: `{"password": "new_password"}`.
    """
    try:
        with clock_told(form):
            yield
    except register.Refused as refused:
        text = words.error_words(refused.field, refused.code, refused.values)
        form.refuse(places.get(refused.field, refused.field), text)
    except PlanRefused as refused:
        text = words.error_words(refused.name, refused.code, refused.values)
        form.refuse(places.get(refused.name, refused.name), text)


def typed_number(field: str, typed: str | None) -> Decimal | None:
    """Give a number as it was typed; None for nothing. Raises Refused (type) at its field."""
    text = measured(typed)
    if text is None:
        return None
    try:
        return Decimal(text)
    except InvalidOperation:
        raise register.Refused(field, "type", value=text, expected="number") from None
