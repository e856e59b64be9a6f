"""Signed logs from the command line: everything of a period in one file, and the certificate that signs."""

from pathlib import Path
from zoneinfo import ZoneInfo

import click
from flask_babel import gettext as _

from app import clock, register, words
from app.server import get_database, kept_logs
from app.server.kept_logs.archive import write_archive

from .asking import read_day
from .command import command


@command("archive")
@click.argument("site")
@click.argument("first")
@click.argument("last")
@click.option("--output", metavar="F", required=True, type=click.Path(path_type=Path), help="File to write.")
def archive(site: str, first: str, last: str, output: Path) -> None:
    """Write everything of the days FIRST to LAST of SITE into one ZIP file that is checked without this program."""
    begin, end = read_day(first), read_day(last)
    draft = output.with_name(f"{output.name}.part")
    try:
        with draft.open("wb") as file, get_database().reading() as session:
            register.get_site(session, site)
            count = write_archive(session, site, begin, end, file)
        draft.replace(output)
    finally:
        draft.unlink(missing_ok=True)
    click.echo(_("%(file)s: signed logs: %(count)s. It carries entries of other days too.", file=output, count=count))


@command("signing-certificate")
@click.argument("site")
@click.option("--renew", is_flag=True, help="Make a new one now, e.g. because somebody knew the passphrase.")
def signing_certificate(site: str, renew: bool) -> None:
    """Print the fingerprint of the certificate that signs the logs of SITE, to be hung up in the kitchen."""
    with get_database().reading() as session:
        zone = ZoneInfo(register.get_site(session, site).timezone)
    make = kept_logs.renew if renew else kept_logs.identity_of
    made = make(site, at=clock.utc_now())
    until = words.local_date_time(made.certificate.not_valid_after_utc, zone)
    click.echo(words.fingerprint(made.fingerprint))
    click.echo(_("It signs the logs of %(site)s until %(until)s.", site=site, until=until))
