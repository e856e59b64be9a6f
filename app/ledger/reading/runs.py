"""Runs of entries as they were hashed, and a day as it was signed: what a signed log prints and attaches."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from app import models
from app.db import chunks
from app.kinds import Entry, EquipmentSet, PlanAdopted, SignOff, SiteSet
from app.models import IN_REGISTER
from app.rules.day.assess import assess
from app.rules.day.shown import Assessment

from .. import register
from ..form import chain
from ..form.typed import typed
from ..index import rows
from ..index.rows import ENTRY
from ..register_entries import read_register
from . import day_reading


@dataclass(frozen=True, slots=True)
class SignedDay:
    """A day as its signer saw it: of what was written later, only the sign-off itself is in it."""

    sign_off: SignOff
    assessment: Assessment


def signed_day(session: Session, code: str, signed_seq: int) -> SignedDay:
    """Give the day of a sign-off as it was signed. Raises LookupError where that entry is none."""
    sign_off = signed_by(session, code, signed_seq)
    as_of = sign_off.as_of or sign_off.recorded_at
    entries = day_reading.day_entries(session, code, sign_off.day, as_of=as_of, through_seq=signed_seq)
    known = [entry for entry in entries if entry.seq <= sign_off.covers_seq or entry.seq == signed_seq]
    return SignedDay(sign_off, assess(sign_off.day, known, as_of=as_of, through_seq=signed_seq))


def signed_by(session: Session, code: str, signed_seq: int) -> SignOff:
    """Give a sign-off. Raises LookupError where the entry is none."""
    row = register.get_site_row(session, code)
    found = typed(rows.by_seqs(session, row.id, [signed_seq]), {})
    if not found or not isinstance(found[0], SignOff):
        raise LookupError(f"entry {signed_seq} of {code} is no sign-off")
    return found[0]


def sign_offs(session: Session, code: str) -> list[SignOff]:
    """Give every sign-off of a site, by seq."""
    row = register.get_site_row(session, code)
    query = select(ENTRY.seq).where(ENTRY.site_id == row.id, ENTRY.kind == SignOff.KIND).order_by(ENTRY.seq)
    found = typed(rows.by_seqs(session, row.id, session.scalars(query).all()), {})
    return [entry for entry in found if isinstance(entry, SignOff)]


def hash_at(session: Session, code: str, seq: int) -> str | None:
    """Give the hash of an entry; of seq 0 where the chain begins; None where there is no such entry."""
    row = register.get_site_row(session, code)
    if seq == 0:
        return chain.genesis_hash(code)
    return session.scalar(select(ENTRY.hash).where(ENTRY.site_id == row.id, ENTRY.seq == seq))


def body_at(session: Session, code: str, seq: int) -> bytes | None:
    """Give the exact bytes of an entry that were hashed; None where there is no such entry."""
    row = register.get_site_row(session, code)
    return session.scalar(select(ENTRY.body).where(ENTRY.site_id == row.id, ENTRY.seq == seq))


def hashes(session: Session, code: str, seqs: Iterable[int]) -> dict[int, str]:
    """Give the hashes of entries by seq, as far as there are such entries; of seq 0 where the chain begins."""
    row = register.get_site_row(session, code)
    found = {0: chain.genesis_hash(code)}
    for portion in chunks(seqs):
        of_site = select(ENTRY.seq, ENTRY.hash).where(ENTRY.site_id == row.id, ENTRY.seq.in_(portion))
        found.update((seq, own_hash) for seq, own_hash in session.execute(of_site))
    return found


def recorded_between(session: Session, code: str, start: datetime, end: datetime) -> tuple[int, int]:
    """Give the first and the last entry that were recorded from `start` on and before `end`, by seq; where there is
    none, the entry after the head and the head."""
    row = register.get_site_row(session, code)
    recorded = (models.Entry.recorded_at >= start, models.Entry.recorded_at < end)
    query = select(func.min(ENTRY.seq), func.max(ENTRY.seq)).where(ENTRY.site_id == row.id, *recorded)
    low, high = session.execute(query).one()
    head = rows.head(session, row).seq
    return (head + 1, head) if low is None else (low, high)


def bodies_of_kind(session: Session, code: str, kind: str) -> Iterator[bytes]:
    """Give the bytes of the register's entries of one kind that were hashed, by seq."""
    row = register.get_site_row(session, code)
    of_kind = select(ENTRY.body).where(ENTRY.site_id == row.id, text(IN_REGISTER), ENTRY.kind == kind)
    yield from session.scalars(of_kind.order_by(ENTRY.seq))


def hashed_lines(session: Session, code: str, seqs: Iterable[int]) -> Iterator[str]:
    """Give entries, by seq, each as one line: the hashed object with its `hash`."""
    row = register.get_site_row(session, code)
    for portion in chunks(sorted(set(seqs))):
        of_site = select(ENTRY.body, ENTRY.hash).where(ENTRY.site_id == row.id, ENTRY.seq.in_(portion))
        for body, own_hash in session.execute(of_site.order_by(ENTRY.seq)):
            yield with_hash(body, own_hash)


def with_hash(body: bytes, own_hash: str) -> str:
    """Give the hashed object with its `hash` added, as text."""
    return f'{body[:-1].decode()},"hash":{json.dumps(own_hash)}}}'


def shown_seqs(assessment: Assessment) -> list[int]:
    """Give the entries that a day's log shows, those of the register too, by seq."""
    shown: Iterable[Entry] = (*assessment.entries, *assessment.set_up)
    return sorted({entry.seq for entry in shown})


_UNITS = ("hot_unit", "cold_unit")


def in_force_seqs(session: Session, code: str, assessment: Assessment) -> list[int]:
    """Give the entries by which a day is judged: the plan versions in force on it, the kitchen, and its units."""
    register_entries = read_register(session, register.get_site_row(session, code))
    known = [entry for entry in register_entries if entry.seq <= assessment.through_seq]
    versions = {plan.version for plan in assessment.plans}
    plans = [entry.seq for entry in known if isinstance(entry, PlanAdopted) and entry.version in versions]
    kitchens = [entry.seq for entry in known if isinstance(entry, SiteSet)]
    units = {entry.code: entry.seq for entry in known if isinstance(entry, EquipmentSet) and entry.type in _UNITS}
    return [*plans, *kitchens[-1:], *units.values()]
