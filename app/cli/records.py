"""The records from the command line: signing a day, walking the chain, printing a day's log."""

from collections.abc import Iterable
from datetime import date
from itertools import islice
from pathlib import Path
from zoneinfo import ZoneInfo

import click
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import clock, ledger, register, words
from app.db import read_only
from app.kinds.permissions import Permission, may
from app.register import Refused
from app.rules.day.shown import Assessment, Blocking
from app.server import day_log, get_database, guards, kept_logs
from app.server.kept_logs import checking
from app.server.site_lock import changing, writing_to

from .asking import ask, checked, login_option, password_option, read_day, read_password
from .command import Failed, command


@command("sign")
@click.argument("site")
@click.argument("day")
@login_option
@password_option
def sign(site: str, day: str, login: str | None, password_file: str | None) -> None:
    """Sign DAY of SITE over the ledger as it stands, or say what stands in the way."""
    chosen, who, typed = read_day(day), ask(login, _("Login")), read_password(password_file)
    with get_database().reading() as session:
        signer = checked(register.check_password(session, register.get_site(session, site), who, typed))
        if not may(signer.role, Permission.SIGN_DAY):
            raise Refused("login", "forbidden", value=signer.login)
        shown = ledger.head(session, site)
    by = ledger.Caller(login=signer.login, name=signer.name, role=signer.role, via="session", signing=True)
    with writing_to(site) as (session, now):
        result = kept_logs.sign_day(session, site, chosen, by=by, at=now, shown=shown)
        refusal = None if result.status != "rejected" else _why_not(session, site, chosen, result.errors)
    if refusal:
        raise Failed(refusal)
    values = {"day": day, "name": signer.name, "seq": shown[0], "hash": shown[1]}
    click.echo(_("%(day)s is signed by %(name)s over entry %(seq)s, record fingerprint %(hash)s.", **values))


def _why_not(session: Session, site: str, day: date, errors: Iterable[ledger.FieldError]) -> str:
    said = (words.error_words(error.field, error.code, error.values) for error in errors)
    refusals = [one.removesuffix(".") for one in said]  # what is open follows it
    assessment = ledger.assess_day(session, site, day, as_of=clock.utc_now())
    return "; ".join([*refusals, *(_blocking_words(assessment, blocking) for blocking in assessment.blocking)])


def _blocking_words(assessment: Assessment, blocking: Blocking) -> str:
    subject = words.subject_words(blocking.subject)
    if blocking.kind == "running":
        return str(_("%(subject)s is still in use", subject=subject))
    rule = words.rule_word((blocking.key or "").partition(":")[0])
    if blocking.kind == "cleared":
        return str(_("%(subject)s, %(rule)s: cleared by a correction, not verified", subject=subject, rule=rule))
    status = next((finding.status for finding in assessment.findings if finding.key == blocking.key), None)
    return f"{subject}, {rule}: {words.status_word(status)}" if status else f"{subject}, {rule}"


@command("verify")
@click.argument("site", required=False)
@click.option("--file", type=click.Path(path_type=Path, exists=True), help="A backup to check; it is only read.")
def verify(site: str | None, file: Path | None) -> None:
    """Walk the chain, sign-offs and signed logs of SITE, or of all, and compare what is kept beside them.

    The database's own guards of the entries are looked at too.
    """
    database = get_database() if file is None else read_only(file)
    with database.reading() as session:
        sites = [register.get_site(session, site)] if site else register.list_sites(session)
        broken = [line for one in sites if (line := _verified(session, one.code))]
        lost, unguarded = ledger.of_no_site(session), guards.faults(session)
    if lost:
        broken.append(_("Records are here that belong to no kitchen any more: %(tables)s.", tables=", ".join(lost)))
    if unguarded:
        broken.append(words.guard_words(unguarded))
    if not sites and not broken:
        raise Failed(_("There is no site in this database."))
    if broken:
        raise Failed("; ".join(broken))


def _verified(session: Session, site: str) -> str | None:
    broken = ledger.verify(session, site)
    if broken is not None:
        values = {"site": site, "seq": broken.seq, "why": words.broken_words(broken.reason)}
        return str(_("%(site)s is broken at entry %(seq)s: %(why)s", **values))
    _print_accepted_clocks(session, site)
    seq, fingerprint = ledger.head(session, site)
    differing = list(islice(ledger.compare(session, site, at=clock.utc_now()), _MOST_NAMED))
    if differing:
        named = ", ".join(f"{one.table} {one.key}".strip() + f" ({one.what})" for one in differing)
        values = {"site": site, "named": named}
        return str(_("%(site)s: the chain is unbroken, but tables beside it differ: %(named)s. Run rebuild.", **values))
    wrong = list(islice(checking.check_kept(session, site), _MOST_NAMED))
    if wrong:
        named = "; ".join(words.wrong_log_words(one.day, one.signed_seq, one.reason, one.details) for one in wrong)
        return str(_("%(site)s: the chain is unbroken, but signed logs differ: %(named)s", site=site, named=named))
    values = {"site": site, "count": seq, "hash": fingerprint}
    click.echo(_("%(site)s: %(count)s entries, unbroken; record fingerprint %(hash)s.", **values))
    return None


_MOST_NAMED = 20
"""As many differences are named as a person reads."""


def _print_accepted_clocks(session: Session, site: str) -> None:
    """Print where time runs back in the records because somebody accepted that."""
    zone = ZoneInfo(register.get_site(session, site).timezone)
    for entry in ledger.accepted_clocks(session, site):
        click.echo(f"{site}: {words.clock_set_words(entry, zone)}")


@command("clock")
@click.argument("site")
@click.option("--reason", required=True, metavar="TEXT", help="Why the clock is behind; verify and the log print it.")
def accept_clock(site: str, reason: str) -> None:
    """Accept that this server's clock is behind the records of SITE: what is written from now on follows the clock."""
    with changing(site) as (session, kitchen, now):
        register.accept_clock(session, kitchen, reason, at=now)
    click.echo(_("%(site)s: the clock of this server is accepted; entries can be kept again.", site=site))


@command("rebuild")
@click.argument("site", required=False)
def rebuild(site: str | None) -> None:
    """Make what is kept beside the ledger of SITE, or of all, anew from its entries; put guards back."""
    database, at = get_database(), clock.utc_now()
    with database.reading() as session:
        codes = [site] if site else [one.code for one in register.list_sites(session)]
    with database.writing() as session:
        if guards.put_back(session):
            click.echo(_("The guards of the entries are put back."))
    for code in codes:
        with database.writing() as session:
            register.get_site(session, code)
            ledger.rebuild(session, code, at=at)
        click.echo(_("%(site)s: people, equipment, plans and the index are made anew from the ledger.", site=code))


@command("log")
@click.argument("site")
@click.argument("day")
@click.option("--output", metavar="F", required=True, type=click.Path(path_type=Path), help="File to write.")
def log(site: str, day: str, output: Path) -> None:
    """Write the log of DAY of SITE as a PDF."""
    chosen = read_day(day)
    with get_database().reading() as session:
        register.get_site(session, site)
    printed = day_log.give_log(site, chosen, as_of=clock.utc_now())
    # Written whole or not at all: half a log over yesterday's print would be worse than none.
    draft = output.with_name(f"{output.name}.part")
    try:
        draft.write_bytes(printed)
        draft.replace(output)
    finally:
        draft.unlink(missing_ok=True)
    click.echo(str(output))
