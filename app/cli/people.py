"""The register from the command line: people, equipment, tokens and tablets."""

import click
from flask_babel import gettext as _

from app import clock, register
from app.kinds.permissions import ROLES, works_by_pin
from app.kinds.register import EQUIPMENT_TYPES, SCALES
from app.server import get_database
from app.server.site_lock import changing

from .asking import password_option, read_new_password, read_password
from .command import Failed, command


@command("person")
@click.argument("site")
@click.argument("login")
@click.argument("name")
@click.option("--role", required=True, type=click.Choice(list(ROLES)), help="What they may do.")
@password_option
@click.option("--pin-file", metavar="F", help="File with the PIN for tablets; a cook needs no more.")
def person(site: str, login: str, name: str, role: str, password_file: str | None, pin_file: str | None) -> None:
    """Add somebody to SITE under LOGIN; NAME is what the log prints. A cook may have a PIN only."""
    password, pin = _secrets(login, role, password_file=password_file, pin_file=pin_file)
    with changing(site) as (session, kitchen, now):
        added = register.add_person(session, kitchen, login, name=name, role=role, password=password, at=now)
        if pin is not None:
            register.set_pin(session, added, pin, at=now)
    click.echo(_("%(login)s is added to %(site)s as %(role)s.", login=added.login, site=site, role=role))


def _secrets(
    login: str, role: str, *, password_file: str | None, pin_file: str | None
) -> tuple[register.Hashed | None, register.Hashed | None]:
    """Give the password and the PIN of somebody new; no password is asked for where a PIN was given and is enough."""
    pin = None if pin_file is None else register.hash_pin(read_password(pin_file))
    if pin is not None and password_file is None and works_by_pin(role):
        return None, pin
    return register.hash_password(read_new_password(password_file), login=login), pin


@command("role")
@click.argument("site")
@click.argument("login")
@click.argument("role", type=click.Choice(list(ROLES)))
def role(site: str, login: str, role: str) -> None:
    """Give LOGIN at SITE another role from now on: earlier sign-ins end, earlier records keep their meaning."""
    with changing(site) as (session, kitchen, now):
        register.set_role(session, kitchen, login, role, at=now)
    click.echo(_("%(login)s is %(role)s at %(site)s from now on.", login=login, role=role, site=site))


@command("retire")
@click.argument("site")
@click.argument("login")
def retire(site: str, login: str) -> None:
    """Retire LOGIN at SITE: sign-ins and tokens end, the records keep the name."""
    with changing(site) as (session, kitchen, now):
        register.retire_person(session, kitchen, login, at=now)
    click.echo(_("%(login)s is retired at %(site)s.", login=login, site=site))


@command("password")
@click.argument("site")
@click.argument("login")
@password_option
def password(site: str, login: str, password_file: str | None) -> None:
    """Set a new password for LOGIN at SITE, and forget the failed sign-ins."""
    new = register.hash_password(read_new_password(password_file), login=login)
    with changing(site) as (session, kitchen, now):
        register.set_password(session, register.get_person(session, kitchen, login), new, at=now)
    click.echo(_("%(login)s has a new password; earlier sign-ins have ended.", login=login))


@command("equipment")
@click.argument("site")
@click.argument("kind", type=click.Choice(EQUIPMENT_TYPES))
@click.argument("code")
@click.option("--scale", type=click.Choice(SCALES), help="What a probe shows; dual when left out.")
@click.option("--retire", "is_retired", is_flag=True, help="Take it off the list.")
def equipment(site: str, kind: str, code: str, scale: str | None, is_retired: bool) -> None:
    """List (or retire) a piece of equipment of SITE."""
    with changing(site) as (session, kitchen, now):
        if is_retired:
            register.retire_equipment(session, kitchen, code, kind=kind, at=now)
        else:
            register.add_equipment(session, kitchen, kind, code, scale=scale, at=now)
    message = _("%(code)s is retired at %(site)s.") if is_retired else _("%(code)s is listed at %(site)s.")
    click.echo(message % {"code": code, "site": site})


@command("token")
@click.argument("site")
@click.argument("login", required=False)
@click.option("--days", type=int, help="How long it is valid; 90 when left out.")
@click.option("--tablet", metavar="CODE", help="Let a tablet in: print its credential instead.")
@click.option("--list", "is_list", is_flag=True, help="List all of the site, never their text.")
@click.option("--revoke", "number", metavar="N", type=int, help="End the one of this number at once.")
def token(
    site: str, login: str | None, days: int | None, tablet: str | None, is_list: bool, number: int | None
) -> None:
    """Print a new API token of LOGIN at SITE and nothing else, once."""
    if sum((login is not None, tablet is not None, is_list, number is not None)) != 1:
        raise Failed(_("Say one of: LOGIN, --tablet CODE, --list, --revoke N."))
    if days is not None and login is None:
        raise Failed(_("--days is for the token of a person."))
    if is_list:
        _list(site)
    elif number is not None:
        _revoke(site, number)
    else:
        click.echo(_issue(site, login=login, days=90 if days is None else days, tablet=tablet))


def _issue(site: str, *, login: str | None, days: int, tablet: str | None) -> str:
    with changing(site) as (session, kitchen, now):
        if login is None:
            return register.issue_tablet(session, kitchen, tablet or "", at=now)[1]
        return register.issue_token(session, register.get_person(session, kitchen, login), days=days, at=now)[1]


def _list(site: str) -> None:
    with get_database().reading() as session:
        listed = register.list_credentials(session, register.get_site(session, site))
    for one in listed:
        holder = f"tablet:{one.holder}" if one.is_tablet else one.holder
        ends = one.expires_at.date().isoformat() if one.expires_at else "-"
        state = (
            "revoked" if one.revoked_at else "expired" if one.expires_at and one.expires_at <= clock.utc_now() else ""
        )
        click.echo(f"{one.number}\t{holder}\t{one.added_at.date().isoformat()}\t{ends}\t{state or 'valid'}")


def _revoke(site: str, number: int) -> None:
    with changing(site) as (session, kitchen, now):
        register.revoke_credential(session, kitchen, number, at=now)
    click.echo(_("%(number)s is revoked.", number=number))
