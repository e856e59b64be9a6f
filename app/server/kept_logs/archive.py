"""Everything of a period in one file, to hand over or put away: it is checked without this program."""

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import IO, Any

from cryptography.hazmat.primitives import serialization
from flask_babel import gettext as _
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.models import HeadStamp, Site

from ..spreadsheet.cells import safe
from . import check_logs
from .certificates import certificates_of, fingerprint_of
from .kept import Kept, kept_logs, read_pdf

_COLUMNS = ("seq", "kind", "observed_at", "recorded_at", "person", "via", "late", "amends", "withdrawn", "hash")


def write_archive(session: Session, site: str, first: date, last: date, file: IO[bytes]) -> int:
    """Write the archive of the days from `first` to `last`; give how many signed logs are in it.

    Its entries are an unbroken run: what was recorded from the first day on up to the end of the last, and on to the
    entries that hold the hashes of its logs. A run has entries of other days, too, and the archive says so.
    """
    logs = [log for log in reversed(kept_logs(session, site)) if first <= log.day <= last]
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for log in logs:
            archive.writestr(
                f"logs/{log.day.isoformat()}-{log.signed_seq}.pdf", read_pdf(session, site, log.signed_seq)
            )
        _write_records(archive, session, site, _bounds(session, site, first, last, logs))
        for certificate in certificates_of(session, site):
            pem = certificate.public_bytes(serialization.Encoding.PEM)
            archive.writestr(f"certificates/{fingerprint_of(certificate)}.pem", pem)
        _write_stamps(archive, session, site, logs)
        archive.writestr("check_logs.py", Path(check_logs.__file__).read_text("utf-8"))
        archive.writestr("README.txt", _readme(session, site, first, last, logs))
    return len(logs)


def _bounds(session: Session, site: str, first: date, last: date, logs: list[Kept]) -> tuple[int, int]:
    """Give the entries from which on and up to which the run goes, by seq."""
    calendar = ledger.calendar_of(session, site)
    starts_at, ends_at = calendar.bounds(first)[0], calendar.bounds(last)[1]
    low, high = ledger.recorded_between(session, site, starts_at, ends_at)
    return min([low, *(log.after_seq + 1 for log in logs)]), max([high, *(log.kept_seq for log in logs)])


def _write_records(archive: zipfile.ZipFile, session: Session, site: str, bounds: tuple[int, int]) -> None:
    plans: list[dict[str, Any]] = []
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow([*_COLUMNS, "fields"])
    with archive.open("records.jsonl", "w") as lines:
        for line in _lines(session, site, *bounds):
            lines.write(line)
            writer.writerow(_cells(json.loads(line)))
    for body in ledger.bodies_of_kind(session, site, "plan_adopted"):
        plans.append(json.loads(body))
    # The byte-order mark: spreadsheets take a file without it for another encoding.
    archive.writestr("records.csv", "\N{ZERO WIDTH NO-BREAK SPACE}" + table.getvalue())
    archive.writestr("plans.json", json.dumps(plans, ensure_ascii=False, indent=1, sort_keys=True))


def _lines(session: Session, site: str, low: int, high: int) -> Iterator[bytes]:
    for number, line in enumerate(ledger.ledger_lines(session, site, low - 1), low):
        if number > high:
            return
        yield line


def _cells(entry: dict[str, Any]) -> list[str]:
    own = {name: value for name, value in entry.items() if name not in (*_COLUMNS, "v", "site", "previous_hash", "id")}
    cells = [str(entry.get(name, "")) for name in _COLUMNS]
    return [safe(cell) for cell in [*cells, json.dumps(own, ensure_ascii=False, sort_keys=True)]]


def _write_stamps(archive: zipfile.ZipFile, session: Session, site: str, logs: list[Kept]) -> None:
    heads = [log.covers_seq for log in logs]
    stamps = select(HeadStamp).join(Site, Site.id == HeadStamp.site_id).where(Site.code == site)
    for stamp in session.scalars(stamps.where(HeadStamp.seq.in_(heads))):
        archive.writestr(f"stamps/{stamp.seq}.tst", stamp.token)
        archive.writestr(f"stamps/{stamp.seq}.json", ledger.body_at(session, site, stamp.seq) or b"")


def _readme(session: Session, site: str, first: date, last: date, logs: list[Kept]) -> str:
    seq, digest = ledger.head(session, site)
    values = {"site": site, "first": first.isoformat(), "last": last.isoformat(), "logs": len(logs)}
    return "\n".join(
        [
            _("Records of kitchen %(site)s, %(first)s to %(last)s. Signed logs in here: %(logs)s.", **values),
            *_without_log(session, site, first, last, logs),
            _("When this archive was made the ledger ended with entry %(seq)s, %(hash)s.", seq=seq, hash=digest),
            "",
            _("Whoever gets this gets entries of other days, too: the run between two signed logs has no hole."),
            "",
            "logs/          " + _("the signed logs, each attaches the entries behind it (records.json)"),
            "records.jsonl  " + _("the entries as they were hashed, one JSON object a line, each with its hash"),
            "records.csv    " + _("the same as a table; text that a spreadsheet would run begins with an apostrophe"),
            "plans.json     " + _("every version of the plan with its limits and their sources"),
            "certificates/  " + _("what signed the logs; compare the file's name with the fingerprint in the kitchen"),
            "stamps/        " + _("what a time-stamp service said of signed heads, if one was asked"),
            "check_logs.py  " + _("checks the logs without the program that made them"),
            "",
            _("How to check it") + ":",
            _("Install Python 3 and open a terminal in this folder. On some computers python is called python3."),
            "  python -m pip install pyhanko",
            "  python check_logs.py logs --fingerprint FINGERPRINT",
            _("FINGERPRINT is what hangs in the kitchen, in quotes; or leave the last two words out."),
            _("A line with WRONG says what does not fit. A note says what these files alone cannot show."),
            "",
            _("Each time stamp in stamps/, N being its number, SERVICE.pem the certificate of the service:"),
            "  openssl ts -verify -token_in -in stamps/N.tst -data stamps/N.json -CAfile SERVICE.pem",
            "",
            _("What it shows is that nothing was changed since it was written, not that what was written is true."),
            "",
        ]
    )


def _without_log(session: Session, site: str, first: date, last: date, logs: list[Kept]) -> list[str]:
    """Name the signed days of which there is no log yet, so that nobody takes them for unsigned."""
    signed = {entry.day for entry in ledger.sign_offs(session, site) if first <= entry.day <= last}
    days = sorted(signed - {log.day for log in logs})
    said = ", ".join(day.isoformat() for day in days)
    return [_("Signed, but no log was made of it yet: %(days)s.", days=said)] if days else []


def archive_name(site: str, first: date, last: date) -> str:
    """Give the name of the archive's file."""
    return f"{site}-{first.isoformat()}-{last.isoformat()}.zip"
