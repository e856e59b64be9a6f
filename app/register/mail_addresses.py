"""Who gets mail from a site, and what. No record: an address is set and forgotten as the kitchen likes."""

import re
from collections.abc import Collection, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.models import MailAddress, Site

from .refused import Refused, checked_line

MAILS = ("alarms", "logs", "heads")
"""What an address may want: what is overdue, each signed day's log, each signed head of the ledger."""

_LONGEST, _MOST = 254, 20
_LONGEST_PATIENCE_MIN = 24 * 60
# RFC 5321 allows more than this; nothing that a kitchen's mail uses is left out, and no header can be hidden in it.
_ADDRESS = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*")


def list_addresses(session: Session, site: Site) -> Sequence[MailAddress]:
    """Give all addresses of a site in alphabetical order."""
    rows = select(MailAddress).where(MailAddress.site_id == site.id).order_by(MailAddress.address)
    return session.scalars(rows).all()


def addresses_for(session: Session, site: Site, mail: str) -> list[str]:
    """Give the addresses that want one of `MAILS`."""
    return [row.address for row in list_addresses(session, site) if getattr(row, mail)]


def set_address(session: Session, site: Site, address: str, wanted: Collection[str]) -> str:
    """Set what an address gets, and give it as kept. Raises Refused (mail_address; mails missing)."""
    checked = checked_address(address)
    if not set(wanted) & set(MAILS):
        raise Refused("mails", "missing")
    row = session.get(MailAddress, (site.id, checked))
    if row is None:
        if len(list_addresses(session, site)) >= _MOST:
            raise Refused("mail_address", "range", high=_MOST)
        row = MailAddress(site_id=site.id, address=checked)
        session.add(row)
    for mail in MAILS:
        setattr(row, mail, mail in wanted)
    return checked


def forget_address(session: Session, site: Site, address: str) -> None:
    """Send nothing to that address any more."""
    row = session.get(MailAddress, (site.id, address))
    if row is not None:
        session.delete(row)


def set_alarm_mail(site: Site, minutes: str) -> None:
    """Set after how many minutes overdue a mail is sent; empty: none is. Raises Refused (alarm_mail_min)."""
    text = minutes.strip()
    if text and not (text.isascii() and text.isdigit()):
        raise Refused("alarm_mail_min", "type", value=text, expected="whole number")
    if text and int(text) > _LONGEST_PATIENCE_MIN:
        raise Refused("alarm_mail_min", "range", low=0, high=_LONGEST_PATIENCE_MIN)
    site.alarm_mail_min = int(text) if text else None


def checked_address(text: str) -> str:
    """Give an e-mail address as it is kept: its domain in lower case. Raises Refused (mail_address)."""
    address = checked_line("mail_address", text, longest=_LONGEST)
    if _ADDRESS.fullmatch(address) is None:
        raise Refused("mail_address", "type", value=address, expected="kitchen@example.com")
    name, _, domain = address.rpartition("@")
    return f"{name}@{domain.lower()}"
