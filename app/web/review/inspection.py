"""For the inspector, and whoever is in charge: is the chain of entries whole, the ledger itself, a day's hashes."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from flask import Blueprint, Response, request, stream_with_context
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy import select
from wtforms import StringField

from app import clock, ledger, models, words
from app.kinds.permissions import Permission
from app.server import get_database, guards

from ..parts.forms import count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..setup.index import kitchen
from ..signin import identity
from ..signin.identity import requires
from .review import get_day

blueprint = Blueprint("inspection", __name__)

_DIGEST = re.compile("[0-9a-f]{64}")
_IN_ONE_PART = 20
_CHECKED_AT_ONCE = 20_000
"""Entries that are checked in well under a second; a longer ledger is checked when somebody asks."""


@dataclass(frozen=True, slots=True)
class Chain:
    """The ledger's head, and what walking the whole chain gave; `checked_at` is none where nobody asked yet."""

    seq: int
    hash: str
    checked_at: datetime | None
    broken: ledger.Broken | None
    clocks: Sequence[str] = ()
    """Where time runs back in the records because somebody accepted that, in words."""
    unguarded: str = ""
    """Which guards of the entries do not stand in the database, in words."""

    @property
    def reason(self) -> str:
        """Why the chain is broken, in words."""
        return words.broken_words(self.broken.reason) if self.broken else ""


class FingerprintForm(PageForm):
    """The record fingerprint of a printed log: a number and a hash."""

    seq = StringField(_l("Entry no."))
    hash = StringField(_l("Fingerprint"))


@dataclass(frozen=True, slots=True)
class HashedEntry:
    """An entry as it was hashed: `body` is the object, `hash` its SHA-256, `previous_hash` that of the one before."""

    seq: int
    kind: str
    seen: str
    person: str
    hash: str
    previous_hash: str
    body: str


@dataclass(frozen=True, slots=True)
class EntriesPart:
    """Some entries in order, which fold to one heading on a phone."""

    title: str
    entries: Sequence[HashedEntry]


@dataclass(frozen=True, slots=True)
class EntriesPage:
    """The entries of a day with their hashes."""

    day: date
    title: str
    parts: Sequence[EntriesPart]
    head: tuple[int, str]


@blueprint.get("/inspection")
@requires(Permission.READ_LEDGER)
def index() -> ResponseReturnValue:
    """Show the ledger's head, whether every entry still is what was written, and whether it holds a fingerprint."""
    form = FingerprintForm(request.args)
    is_held = _holds(form) if request.args.get("hash") or request.args.get("seq") else None
    chain = _read_chain(is_asked="check" in request.args)
    return page("inspection/index.html", 422 if form.errors_at() else 200, chain=chain, form=form, is_held=is_held)


@blueprint.get("/inspection/ledger")
@requires(Permission.READ_LEDGER)
def whole_ledger() -> ResponseReturnValue:
    """Give the whole ledger: one hashed object a line, each with its hash."""
    code = identity.current().site.code
    name = f"{code}-ledger.ndjson"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(stream_with_context(_lines(code)), mimetype="application/x-ndjson", headers=headers)


@blueprint.get("/day/<day>/entries")
@requires(Permission.READ_LEDGER)
def entries(day: str) -> ResponseReturnValue:
    """Show a day's entries as they were hashed."""
    on, site = get_day(day), identity.current().site
    with get_database().reading() as session:
        head = ledger.head(session, site.code)
        assessment = ledger.assess_day(session, site.code, on, as_of=clock.utc_now(), through_seq=head[0])
        bodies = ledger.day_bodies(session, site.code, assessment.entries, assessment.set_up)
    return page("inspection/entries.html", view=EntriesPage(on, words.day_words(on), _parts(bodies), head))


def _parts(bodies: Sequence[Mapping[str, Any]]) -> Sequence[EntriesPart]:
    """Give the entries in parts of some dozens, each under the numbers that it goes from and to."""
    portions = [bodies[start : start + _IN_ONE_PART] for start in range(0, len(bodies), _IN_ONE_PART)]
    return [EntriesPart(_numbers(portion), [_hashed(body) for body in portion]) for portion in portions]


def _numbers(bodies: Sequence[Mapping[str, Any]]) -> str:
    first, last = bodies[0]["seq"], bodies[-1]["seq"]
    if first == last:
        return str(_("No. %(first)s", first=first))
    return str(_("No. %(first)s to %(last)s", first=first, last=last))


def _read_chain(*, is_asked: bool) -> Chain:
    code = identity.current().site.code
    with get_database().reading() as session:
        seq, digest = ledger.head(session, code)
        unguarded = words.guard_words(found) if (found := guards.faults(session)) else ""
        if not (is_asked or seq <= _CHECKED_AT_ONCE):
            return Chain(seq, digest, None, None, unguarded=unguarded)
        broken = ledger.verify(session, code)
        clocks = () if broken else ledger.accepted_clocks(session, code)
    zone = identity.current().site.timezone
    said = [words.sentence_start(words.clock_set_words(entry, zone)) for entry in clocks]
    return Chain(seq, digest, clock.utc_now(), broken, said, unguarded)


def _holds(form: FingerprintForm) -> bool | None:
    """Whether the ledger holds the fingerprint at its number; None where what was typed is none."""
    seq, digest = count(form.seq.data), "".join((form.hash.data or "").split()).lower()
    if not isinstance(seq, int):
        form.refuse("seq", _("Give the number that stands before the fingerprint, e.g. 2576."))
    if not _DIGEST.fullmatch(digest):
        form.refuse("hash", _("A fingerprint has 64 characters, 0 to 9 and a to f. Type it as it is printed."))
    if form.errors_at():
        return None
    with get_database().reading() as session:
        site = kitchen(session)
        row = select(models.Entry.hash).where(models.Entry.site_id == site.id, models.Entry.seq == seq)
        return session.scalar(row) == digest


def _lines(code: str) -> Iterator[bytes]:
    with get_database().reading() as session:
        yield from ledger.ledger_lines(session, code, 0)


def _hashed(body: Mapping[str, Any]) -> HashedEntry:
    site = identity.current().site
    person = site.people.get(body.get("person", ""))
    hashed = {name: value for name, value in body.items() if name != "hash"}
    return HashedEntry(
        seq=body["seq"],
        kind=words.kind_word(body["kind"]),
        seen=words.local_date_time(datetime.fromisoformat(body["observed_at"]), site.timezone),
        person=person.name if person else body.get("person") or words.via_word(body["via"]),
        hash=body["hash"],
        previous_hash=body["previous_hash"],
        body=json.dumps(hashed, sort_keys=True, separators=(",", ":"), ensure_ascii=False),
    )
