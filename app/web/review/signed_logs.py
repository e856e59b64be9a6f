"""Signed logs: those that are kept, the certificate that signs them, everything of a period, how long to keep it."""

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import IO

from cryptography import x509
from cryptography.hazmat.primitives import serialization
from flask import Blueprint, Response, abort, request, send_file
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import DateField

from app import clock, ledger, words
from app.kinds.permissions import Permission
from app.server import get_database, kept_logs
from app.server.kept_logs import archive
from app.server.kept_logs.certificates import certificates_of, fingerprint_of
from app.words.marking import N_
from app.words.marking import gettext as words_of

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("signed_logs", __name__)

_MOST_LISTED = 60


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate that signs or signed the kitchen's logs."""

    fingerprint: str
    since: str
    until: str


@dataclass(frozen=True, slots=True)
class KeptFor:
    """How long a law usually asks to keep such records, where it says so, and which days have been kept that long."""

    what: str
    how_long: str
    source: str
    before: str


class PeriodForm(PageForm):
    """From which day to which."""

    first = DateField(_l("First day"))
    last = DateField(_l("Last day"))


@blueprint.get("/logs")
@requires(Permission.READ_LEDGER)
def index() -> ResponseReturnValue:
    """Show what is kept of signed days, and what signed it."""
    return _shown(PeriodForm(), 200)


@blueprint.get("/logs/<int:seq>.pdf")
@requires(Permission.READ_LEDGER)
def kept(seq: int) -> ResponseReturnValue:
    """Give the kept log of a sign-off: the file as it was written then."""
    site = identity.current().site.code
    with get_database().reading() as session:
        try:
            pdf = kept_logs.read_pdf(session, site, seq) if seq < 2**31 else abort(404)
        except LookupError:
            abort(404)
    headers = {"Content-Disposition": f'attachment; filename="{site}-{seq}-log.pdf"'}
    return Response(pdf, mimetype="application/pdf", headers=headers)


@blueprint.get("/logs/certificate.pem")
@requires(Permission.READ_LEDGER)
def certificate() -> ResponseReturnValue:
    """Give the kitchen's certificates, the newest first."""
    site = identity.current().site.code
    with get_database().reading() as session:
        pem = b"".join(one.public_bytes(serialization.Encoding.PEM) for one in certificates_of(session, site))
    headers = {"Content-Disposition": f'attachment; filename="{site}-certificate.pem"'}
    return Response(pem, mimetype="application/x-pem-file", headers=headers)


@blueprint.get("/logs/archive")
@requires(Permission.READ_LEDGER)
def period() -> ResponseReturnValue:
    """Give everything of a period in one file."""
    form = PeriodForm(request.args)
    first, last = form.first.data, form.last.data
    if first is None or last is None or first > last:
        form.first.errors = [_("Give the first and the last day, in this order.")]
        return _shown(form, 422)
    site = identity.current().site.code
    file: IO[bytes] = tempfile.SpooledTemporaryFile(max_size=16 * 1024 * 1024)  # noqa: SIM115  # closed once it is sent
    with get_database().reading() as session:
        archive.write_archive(session, site, first, last, file)
    file.seek(0)
    return send_file(file, "application/zip", True, archive.archive_name(site, first, last))


def _shown(form: PeriodForm, status: int) -> ResponseReturnValue:
    site, now = identity.current().site, clock.utc_now()
    with get_database().reading() as session:
        listed = kept_logs.kept_logs(session, site.code)
        certificates = [_certificate(one) for one in certificates_of(session, site.code)]
        owed = len(kept_logs.owed(session, site.code))
        today = ledger.today(session, site.code, now)
    shown: dict[str, object] = {"logs": listed[:_MOST_LISTED], "count": len(listed), "owed": owed}
    return page(
        "review/signed_logs.html",
        status,
        form=form,
        certificates=certificates,
        kept_for=list(_kept_for(today)),
        **shown,
    )


def _certificate(one: x509.Certificate) -> Certificate:
    zone = identity.current().site.timezone
    since, until = (words.local_date_time(at, zone) for at in (one.not_valid_before_utc, one.not_valid_after_utc))
    return Certificate(words.fingerprint(fingerprint_of(one)), since, until)


# ---- how long -------------------------------------------------------------------------------------------------------

_USUAL: Sequence[tuple[str, int, str]] = (
    (N_("Refrigerated products made under federal inspection (not retail kitchens)"), 12, "9 CFR 417.5(e)(1)"),
    (N_("Frozen and shelf-stable products made under federal inspection"), 24, "9 CFR 417.5(e)(1)"),
    (
        N_("Records of a food facility, under rules for such plants and not for retail kitchens"),
        24,
        "21 CFR 117.315(a)(1)",
    ),
    (N_("Cook-chill and other reduced oxygen packaging without a variance"), 6, "FDA Food Code, 3-502.12(D)(3)"),
)
"""What is kept, for how many months, by which text; docs/keeping-records.md tells how each is known."""


def _kept_for(today: date) -> Iterator[KeptFor]:
    for what, months, source in _USUAL:
        before = words.day_words(_before(today, months))
        yield KeptFor(words_of(what), _("%(count)s months", count=months), source, before)


def _before(day: date, months: int) -> date:
    """Give the day so many months earlier; where that month has no such day, its first."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    try:
        return date(year, month + 1, day.day)
    except ValueError:
        return date(year, month + 1, 1)
