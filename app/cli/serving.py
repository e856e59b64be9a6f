"""What a machine that serves needs beside the program: a database on PostgreSQL, a certificate for its own network."""

import re
import secrets
from pathlib import Path

import click
from flask import current_app
from flask_babel import gettext as _

from app import clock
from app.server.tls import TlsFiles, make_certificate

from .command import Failed, command

_NAME = re.compile(r"[a-z_][a-z0-9_]{0,62}")


@command("postgresql")
@click.option("--role", default="ledger", help="Role that the program signs in as; ledger when left out.")
@click.option("--database", "name", default="ledger", help="Database that it owns; ledger when left out.")
@click.option("--host", default="", help="Host of the server; the local socket when left out, without a password.")
def postgresql(role: str, name: str, host: str) -> None:
    """Print the SQL that makes a role and a database on PostgreSQL, for psql; what to set stands on standard error."""
    for given in (role, name):
        if not _NAME.fullmatch(given):
            raise Failed(_("%(name)s: small letters, digits and _ only.", name=given))
    password = secrets.token_urlsafe(24) if host else ""
    secret = f" PASSWORD '{password}'" if password else ""
    click.echo(f'CREATE ROLE "{role}" LOGIN{secret};')
    click.echo(f'CREATE DATABASE "{name}" OWNER "{role}" ENCODING \'UTF8\' TEMPLATE template0;')
    place = f"{role}:{password}@{host}" if host else f"{role}@"
    setting = f"DATABASE_URL=postgresql://{place}/{name}"
    click.echo(_("Then set, for every process: %(setting)s", setting=setting), err=True)
    if not host:
        click.echo(_("On the local socket it is the system's user %(role)s that gets in.", role=role), err=True)


@command("certificate")
@click.argument("hosts", metavar="HOST...", nargs=-1, required=True)
def certificate(hosts: tuple[str, ...]) -> None:
    """Make a certificate for the names or addresses by which tablets reach this server, for TLS in its own network."""
    folder = Path(current_app.instance_path) / "tls"
    is_new = make_certificate(folder, hosts, at=clock.utc_now())
    files = TlsFiles(folder)
    click.echo(_("%(file)s is made. The server uses it from its next start on.", file=files.server))
    if is_new:
        click.echo(_("Tell each tablet once to believe this authority: %(file)s", file=files.authority))
    else:
        click.echo(_("The authority is the one that the tablets believe already."))
