"""The plan from the command line: what is in force, and adopting a new version."""

from collections.abc import Sequence
from dataclasses import fields

import click
from flask_babel import gettext as _

from app import clock, ledger, register
from app.models import PlanVersion
from app.register import Refused
from app.rules.plans.limits import Limits
from app.rules.plans.plan import Plan
from app.server import get_database
from app.server.plan_asking import ask_for_document
from app.server.site_lock import changing

from .asking import ask, checked, login_option, password_option, read_password
from .command import command


@command("plan")
@click.argument("site")
@login_option
@password_option
@click.option("--code", help="Adopt this code of law.")
@click.option("--set", "settings", metavar="NAME=VALUE", multiple=True, help="Set a limit; can be repeated.")
@click.option(
    "--variance", help="Name and number of the variance that allows what is looser than the code; '' ends it."
)
@click.option("--authority", help="Who adopted the code here, and where that stands; '' ends it.")
def plan(
    site: str,
    login: str | None,
    password_file: str | None,
    code: str | None,
    settings: Sequence[str],
    variance: str | None,
    authority: str | None,
) -> None:
    """Adopt a new plan version for SITE in LOGIN's name; without changes, print the plan in force."""
    if code is None and not settings and variance is None and authority is None:
        _print_plan(site)
        return
    changes = dict(_read_setting(text) for text in settings)
    who, typed = ask(login, _("Login")), read_password(password_file)
    with get_database().reading() as session:
        kitchen = register.get_site(session, site)
        person = checked(register.check_password(session, kitchen, who, typed))
    with changing(site) as (session, kitchen, now):
        by = register.get_person(session, kitchen, person.login)
        version = register.adopt_plan(
            session, kitchen, code, changes, by=by, at=now, variance=variance, authority=authority
        )
        ask_for_document(session, site, at=now)
    values = {"version": version.version, "site": site, "name": by.name, "code": version.code}
    click.echo(_("Version %(version)s of the plan of %(site)s, %(code)s, is adopted by %(name)s.", **values))


def _read_setting(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not (equals and name.strip()):
        raise Refused("set", "type", value=text, expected="NAME=VALUE")
    return name.strip(), value


def _print_plan(site: str) -> None:
    with get_database().reading() as session:
        kitchen = register.get_site(session, site)
        version = register.newest_plan(session, kitchen)
        today = ledger.today(session, site, clock.utc_now())
    if version is None:
        raise Refused("plan", "unknown")
    for line in _plan_lines(version, register.plan_in_force(version, today)):
        click.echo("\t".join(line))


def _plan_lines(version: PlanVersion, plan: Plan) -> Sequence[Sequence[str]]:
    """Name, value as `--set` takes it, source, kind, and `set` where the site set it: a tab between."""
    heads = [
        ("code", plan.code, plan.title, plan.kind),
        ("version", str(plan.version), f"adopted by {plan.adopted_by}", version.adopted_at.isoformat()),
        ("authority", plan.authority or ""),
        ("variance", plan.variance or ""),
    ]
    own = register.settings_of(version)
    limits = [
        (
            field.name,
            register.setting_text(getattr(plan.limits, field.name)),
            plan.sources[field.name].source,
            plan.sources[field.name].kind,
            "set" if field.name in own else "",
        )
        for field in fields(Limits)
    ]
    return [*heads, *limits]
