"""A signed day's log is mailed by itself: the kept file, to each address that wants logs, once."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from flask import current_app
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import ledger, register, words
from app.logs.blocks import counts
from app.rules.day.shown import Assessment

from .. import get_database
from ..jobs import ask, job
from ..mail import Attachment, Message, is_configured, send
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
        signed = ledger.signed_day(session, site, payload["signed_seq"])
        pdf = read_pdf(session, site, payload["signed_seq"])
    with words.by_clock(signed.assessment.site.clock):
        message = _message(row.name, signed)
    attached = Attachment(f"{site}-{signed.sign_off.day.isoformat()}-log.pdf", "application/pdf", pdf)
    send(current_app.config, message._replace(attachments=[attached]), to=[address])


def _message(kitchen: str, signed: ledger.SignedDay) -> Message:
    sign_off, assessment = signed.sign_off, signed.assessment
    values = {
        "day": words.day_words(sign_off.day),
        "site": kitchen,
        "name": sign_off.signer_name,
        "at": words.local_date_time(sign_off.recorded_at, assessment.site.timezone),
    }
    text = [
        _("The log of %(day)s at %(site)s is attached. %(name)s signed it on %(at)s.", **values),
        _found(assessment),
        _("Keep the file as it is. A print of it carries no signature that can be checked."),
        _("If entries of this day come later, somebody signs it again. The new log is then mailed, too."),
    ]
    return Message(kitchen, _("Log of %(day)s, %(site)s", **values), "\n\n".join(text) + "\n")


def _found(assessment: Assessment) -> str:
    """Say whether anything was wrong: whoever reads it on a phone need not open the file for that."""
    found = ", ".join(f"{count} {verdict.word}" for verdict, count in counts(assessment))
    if not found:
        return str(_("The records show no deviation and no gap in the controls in force."))
    return str(_("Findings of the day: %(found)s. Page one says what was done about each.", found=found))
