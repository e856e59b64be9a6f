"""Setting up: a kitchen with its first person in charge and plan, the link that opens its set-up, or the demo."""

from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation

import click
from flask_babel import gettext as _
from sqlalchemy.orm import Session

import demo_data
from app import clock, ledger, register, schema
from app.kinds.permissions import FIRST_ROLE
from app.register import Refused
from app.server import get_database, kept_logs
from app.server.plan_asking import ask_for_document

from .asking import ask, password_option, read_new_password
from .command import Failed, command

_HERE = "http://127.0.0.1:8000"


@command("init")
@click.argument("site", required=False)
@click.option("--name", help="Name of the kitchen, as the log prints it.")
@click.option("--timezone", metavar="TZ", help="Time zone, e.g. America/Chicago.")
@click.option("--login", help="Login of the first person in charge.")
@click.option("--person", metavar="NAME", help="Name of the first person in charge, as the log prints it.")
@password_option
@click.option("--altitude-m", metavar="N", help="Height above the sea in m.")
@click.option("--plan", "code", metavar="CODE", help="Code of law that the plan starts from.")
@click.option("--address", metavar="URL", help="Without SITE: where the pages are, e.g. https://kitchen.lan:8000.")
@click.option("--if-empty", is_flag=True, help="Without SITE: do nothing where a kitchen is set up already.")
def init(
    site: str | None,
    name: str | None,
    timezone: str | None,
    login: str | None,
    person: str | None,
    password_file: str | None,
    altitude_m: str | None,
    code: str | None,
    address: str | None,
    if_empty: bool,
) -> None:
    """Set up the database and the kitchen SITE, its first person in charge and its plan.

    Without SITE it prints a link that opens the set-up on screen, once.
    """
    if site is None:
        if any(given is not None for given in (name, timezone, login, person, password_file, altitude_m, code)):
            raise Failed(_("These options belong to a kitchen: name it first, e.g. init S1 --name ..."))
        _print_link(address or _HERE, if_empty=if_empty)
        return
    if address is not None or if_empty:
        raise Failed(_("--address and --if-empty are for init without SITE."))
    full_name, zone = ask(name, _("Name of the kitchen")), ask(timezone, _("Time zone, e.g. America/Chicago"))
    first, first_name = ask(login, _("Login of the first person in charge")), ask(person, _("Their name"))
    height = _altitude(altitude_m)
    password = register.hash_password(read_new_password(password_file), login=first)
    database = get_database()
    schema.upgrade(database.url)
    with database.writing() as session:
        _write_down(session)  # of kitchens that an older version set up in this database
        at, by = clock.utc_now(), register.Author("command", first)
        about = {"name": full_name, "timezone": zone}
        kitchen = register.add_site(session, site, **about, altitude_m=height, at=at, by=by)
        account = {"name": first_name, "role": FIRST_ROLE}
        lead = register.add_person(session, kitchen, first, **account, password=password, at=at, by=by)
        plan = register.adopt_plan(session, kitchen, code, {}, by=lead, at=at)
        ask_for_document(session, kitchen.code, at=at)
        others = register.sites_of_login(session, first)
    _make_certificate(kitchen.code)
    values = {"site": kitchen.code, "login": lead.login, "plan": plan.code}
    click.echo(_("%(site)s is set up: %(login)s is in charge, the plan is %(plan)s.", **values))
    if len(others) > 1:
        elsewhere = ", ".join(other for other in others if other != kitchen.code)
        said = _("%(login)s exists at %(sites)s too: that is another account, with its own password.")
        click.echo(f"{said % {'login': first, 'sites': elsewhere}} {_('Signing in asks for the kitchen.')}", err=True)


def _make_certificate(site: str) -> None:
    """Make what signs the site's logs; where that cannot be, say so: everything else goes on without."""
    try:
        kept_logs.identity_of(site, at=clock.utc_now())
    except kept_logs.SigningRefused as error:
        click.echo(str(error), err=True)


def _print_link(address: str, *, if_empty: bool) -> None:
    """Print a link that opens the set-up of a new kitchen; it takes the place of earlier ones."""
    database = get_database()
    schema.upgrade(database.url)
    with database.writing() as session:
        _write_down(session)
        if if_empty and register.list_sites(session):
            return
        text, ends = register.issue_set_up_link(session, at=clock.utc_now())
    click.echo(_("This link opens the set-up of a new kitchen, once, until %(end)s UTC:", end=_ends(ends)))
    click.echo(f"  {address.rstrip('/')}/begin/{text}")


@command("upgrade")
def upgrade() -> None:
    """Bring an older database up to date: its tables, and the register's entries in its ledgers."""
    database = get_database()
    schema.upgrade(database.url)
    with database.writing() as session:
        written = _write_down(session)
    for site in written:
        click.echo(_("%(site)s: people, equipment, plans and credentials are in the ledger now.", site=site))
    with database.reading() as session:
        sites = [one.code for one in register.list_sites(session)]
    for site in sites:
        _make_certificate(site)
        with database.writing() as session:
            ask_for_document(session, site, at=clock.utc_now())
    click.echo(_("The database is up to date."))


_LOGS_OF_DEMO = 3
"""Of so many of its signed days the log is there to be looked at and checked, soon after it is served."""


@command("demo")
def demo() -> None:
    """Load the demo kitchen with three weeks of history; a second time changes nothing."""
    database = get_database()
    schema.upgrade(database.url)
    with database.reading() as session:
        others = [site.code for site in register.list_sites(session) if site.code != demo_data.SITE]
    if others:
        # Its passwords are known to everybody.
        raise Failed(
            _("This database holds %(sites)s: the demo kitchen needs its own database.", sites=", ".join(others))
        )
    demo_data.load(database, at=clock.utc_now())
    _make_certificate(demo_data.SITE)
    with database.writing() as session:
        ask_for_document(session, demo_data.SITE, at=clock.utc_now())
        for signed in ledger.sign_offs(session, demo_data.SITE)[-_LOGS_OF_DEMO:]:
            kept_logs.ask_for_log(session, demo_data.SITE, signed.seq, at=clock.utc_now())
    click.echo(demo_data.SIGN_INS)


def _write_down(session: Session) -> list[str]:
    """Write down the register of sites whose ledger does not know it; give their codes."""
    for site in register.list_sites(session):
        register.hold_site(session, site.code)
    return register.write_down(session, at=clock.utc_now())


def _ends(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%d %H:%M")


def _altitude(text: str | None) -> Decimal | None:
    try:
        return None if text is None else Decimal(text)
    except InvalidOperation:
        raise Refused("altitude_m", "type", value=text, expected="number") from None
