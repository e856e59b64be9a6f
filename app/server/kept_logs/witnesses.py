"""Witnesses outside the house: a time-stamp service, and addresses outside the kitchen, hear of every signed head.

Whoever rewrites the whole ledger afterwards can change neither what the service signed nor what was mailed.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from flask import current_app
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import ledger, register, words
from app.kinds import SignOff
from app.models import HeadStamp, Site

from .. import get_database
from ..jobs import ask, job
from ..mail import Attachment, Message, is_configured, send
from .stamping import stamp


def ask_for_witnesses(session: Session, site: str, signed_seq: int, *, at: datetime) -> None:
    """Ask that a signed head is stamped and mailed, as far as the settings and the kitchen want it."""
    about = {"site": site, "signed_seq": signed_seq}
    if current_app.config["TIMESTAMP_URL"]:
        ask(session, "stamp_head", f"{site}:{signed_seq}", about, at=at)
    row = register.get_site(session, site)
    if is_configured(current_app.config) and register.addresses_for(session, row, "heads"):
        ask(session, "mail_head", f"{site}:{signed_seq}", about, at=at)


@job("stamp_head", lane="outside")
def _stamp_head(payload: Mapping[str, Any], at: datetime) -> None:
    site = payload["site"]
    with get_database().reading() as session:
        covers_seq = ledger.signed_by(session, site, payload["signed_seq"]).covers_seq
        content = ledger.body_at(session, site, covers_seq)
        row = register.get_site(session, site)
        if content is None or session.get(HeadStamp, (row.id, covers_seq)) is not None:
            return
    token = stamp(current_app.config["TIMESTAMP_URL"], content)
    with get_database().writing() as session:
        session.merge(HeadStamp(site_id=row.id, seq=covers_seq, token=token, stamped_at=at))


@job("mail_head", lane="outside")
def _mail_head(payload: Mapping[str, Any], at: datetime) -> None:
    site = payload["site"]
    with get_database().reading() as session:
        row = register.get_site(session, site)
        to = register.addresses_for(session, row, "heads")
        sign_off = ledger.signed_by(session, site, payload["signed_seq"])
        content = ledger.body_at(session, site, sign_off.covers_seq)
        clock_face = ledger.calendar_of(session, site).site.clock
    if to:
        with words.by_clock(clock_face):
            message = _message(row, sign_off)
        name = f"{site}-{sign_off.day.isoformat()}-entry-{sign_off.covers_seq}.json"
        attached = [Attachment(name, "application/json", content)] if content else []
        send(current_app.config, message._replace(attachments=attached), to=to)


def _message(site: Site, sign_off: SignOff) -> Message:
    """Write what an address outside the kitchen gets about a signed head."""
    at = words.local_date_time(sign_off.recorded_at, ZoneInfo(site.timezone))
    values = {"name": sign_off.signer_name, "day": words.day_words(sign_off.day), "site": site.name, "at": at}
    lines = [
        _("%(name)s signed the log of %(day)s at %(site)s.", **values),
        _("It was signed on %(at)s.", **values),
        "",
        _("Keep this mail, and leave it as it is. There is nothing else to do."),
        _("It shows later whether the records up to that moment were changed since."),
        "",
        f"{_('Kitchen')}: {site.name} ({site.code})",
        f"{_('Signed up to entry no.')}: {sign_off.covers_seq}",
        f"{_('Record fingerprint')}: {sign_off.covers_hash}",
        "",
        _("To check, compare number and fingerprint with the end of the printed log."),
        _("Or type both into the kitchen's own page Inspection."),
        _("The attached file is that entry as it was recorded. The fingerprint is its SHA-256."),
    ]
    return Message(site.name, _("Keep this mail: %(day)s is signed, %(site)s", **values), "\n".join(lines) + "\n")
