"""A signed day's log is mailed by itself: the kept file, to each address that wants logs, once."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from flask import current_app
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import ledger, register, words

from .. import get_database
from ..jobs import ask, job
from ..mail import Attachment, is_configured, send
from .kept import read_pdf


def ask_for_mails(session: Session, site: str, signed_seq: int, *, at: datetime) -> None:
    """Ask that the kept log of a sign-off is mailed to each address that wants it: one that fails costs no other."""
    if is_configured(current_app.config):
        for address in register.addresses_for(session, register.get_site(session, site), "logs"):
            about = {"site": site, "signed_seq": signed_seq, "to": address}
            ask(session, "mail_log", f"{site}:{signed_seq}:{address}", about, at=at)


@job("mail_log", lane="outside")
def _mail_log(payload: Mapping[str, Any], at: datetime) -> None:
    site, address = payload["site"], payload["to"]
    with get_database().reading() as session:
        row = register.get_site(session, site)
        if address not in register.addresses_for(session, row, "logs"):
            return  # taken off the list meanwhile
        sign_off = ledger.signed_by(session, site, payload["signed_seq"])
        pdf = read_pdf(session, site, payload["signed_seq"])
        zone = ledger.calendar_of(session, site).zone_of(sign_off.day)
    values = {
        "day": words.day_words(sign_off.day),
        "site": row.name,
        "name": sign_off.signer_name,
        "at": words.local_date_time(sign_off.recorded_at, zone),
    }
    attached = Attachment(f"{site}-{sign_off.day.isoformat()}-log.pdf", "application/pdf", pdf)
    subject = _("Log of %(day)s, %(site)s", **values)
    text = [
        _("The log of %(day)s at %(site)s is attached. %(name)s signed it on %(at)s.", **values),
        _("If entries of this day come later, it is signed again, and the new log is mailed, too."),
    ]
    send(current_app.config, to=[address], subject=subject, text="\n\n".join(text) + "\n", attachments=[attached])
