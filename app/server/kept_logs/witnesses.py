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
from app.models import HeadStamp

from .. import get_database
from ..jobs import ask, job
from ..mail import Attachment, is_configured, send
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
    if to:
        day = words.day_words(sign_off.day)
        subject = _("%(site)s: %(day)s is signed up to entry %(seq)s", site=row.name, day=day, seq=sign_off.covers_seq)
        attached = [Attachment(f"{site}-{sign_off.covers_seq}.json", "application/json", content)] if content else []
        send(current_app.config, to=to, subject=subject, text=head_mail(row, sign_off), attachments=attached)


def head_mail(site: Any, sign_off: Any) -> str:
    """Write what an address outside the kitchen gets about a signed head."""
    at = words.local_date_time(sign_off.recorded_at, ZoneInfo(site.timezone))
    values = {"name": sign_off.signer_name, "day": words.day_words(sign_off.day), "site": site.name, "at": at}
    return "\n".join(
        [
            _("%(name)s signed the log of %(day)s at %(site)s, on %(at)s.", **values),
            "",
            f"{_('Kitchen')}: {site.code}",
            f"{_('Signed up to entry')}: {sign_off.covers_seq}",
            f"{_('Record fingerprint')}: {sign_off.covers_hash}",
            "",
            _(
                "Keep this mail. If the kitchen's records up to this entry are changed later, this fingerprint no"
                " longer fits them. Compare it with a printed log, or with the kitchen's page of the chain of entries."
            ),
        ]
    )
