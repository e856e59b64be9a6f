"""Who works in the demo kitchen, with what, and by which plan."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from sqlalchemy.orm import Session

from app import register
from app.db import Database
from app.ledger import Caller

from .calendar import ZONE

SITE = "JUNIPER"
PASSWORD = "juniper lane, evening shift"
PIN = "4071"
TABLET = "A"

PEOPLE = {
    "ines": ("Ines Calloway", "in_charge"),
    "dov": ("Dov Marek", "in_charge"),
    "wren": ("Wren Abara", "cook"),
    "tomas": ("Tomas Lindqvist", "cook"),
    "halima": ("Halima Brandt", "inspector"),
}

EQUIPMENT = (
    ("oven", "east", None),
    ("oven", "west", None),
    ("hot_unit", "pass", None),
    ("hot_unit", "cabinet", None),
    ("cold_unit", "walk-in", None),
    ("cold_unit", "chiller", None),
    ("probe", "blue", "dual"),
    ("probe", "red", "dual"),
    ("probe", "pocket", "F"),
)

SETTINGS = {"time_control_procedure": "TC-2, counter service on market days", "cook_target": "175F/80C"}

BIRD_COST = Decimal("4.80")

SIGN_INS = f"""The demo kitchen is there. Sign in as
  wren or tomas   cooks
  ines or dov     persons in charge
  halima          inspector
each with the password: {PASSWORD}
On an enrolled tablet everybody's PIN is {PIN}. Everything in this kitchen is invented."""


def is_there(database: Database) -> bool:
    """Whether the demo kitchen was loaded before."""
    with database.reading() as session:
        return register.find_site(session, SITE) is not None


def set_up(database: Database, *, at: datetime) -> None:
    """Add the site, its people, equipment, tablet and plan."""
    hashes = {login: register.hash_password(PASSWORD, login=login) for login in PEOPLE}
    pin = register.hash_pin(PIN)
    with database.writing() as session:
        site = register.add_site(session, SITE, name="Juniper Lane Rotisserie (demo)", timezone=str(ZONE), at=at)
        for login, (name, role) in PEOPLE.items():
            person = register.add_person(session, site, login, name=name, role=role, password=hashes[login], at=at)
            register.set_pin(session, person, pin, at=at)
        for kind, code, scale in EQUIPMENT:
            register.add_equipment(session, site, kind, code, scale=scale, at=at)
        register.issue_tablet(session, site, TABLET, at=at)
        register.change_site(session, site, at=at, clock=12, unit="F")
        register.set_bird_cost(site, BIRD_COST, "USD")
        adopt_plan(session, SETTINGS, by="ines", at=at)


def adopt_plan(session: Session, settings: Mapping[str, str], *, by: str, at: datetime) -> None:
    """Adopt a version of the plan in somebody's name."""
    site = register.get_site(session, SITE)
    lead, authority = register.get_person(session, site, by), "the (invented) Juniper County health department"
    register.adopt_plan(session, site, "us_food_code_2022", settings, by=lead, at=at, authority=authority)


def caller(login: str, *, on_tablet: bool = True) -> Caller:
    """Give somebody as the ledger knows who writes."""
    name, role = PEOPLE[login]
    return Caller(login, name, role, f"tablet:{TABLET}" if on_tablet else "session")
