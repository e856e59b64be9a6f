"""One search for a recall: where a lot, load, tray, batch or reheat came from, and where its birds went."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from flask import Blueprint, Response, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app import clock, ledger, words
from app.kinds import KINDS, Entry
from app.kinds.permissions import Permission
from app.rules.facts import Finding
from app.rules.history.tracing import Step, Trace
from app.server import get_database
from app.server.spreadsheet import csv_lines

from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("tracing", __name__)

_LONGEST = 1000


@dataclass(frozen=True, slots=True)
class TracePage:
    """What was searched for, and every step of it in order of time; `trace` is none where nothing has that name."""

    name: str
    trace: Trace | None
    rows: Sequence[tuple[str, str, str, str, str]]
    """Seen, out of, what happened, into, birds."""
    gone: Sequence[str]
    """How many birds went out of the kitchen, by the way they went."""
    aside: Sequence[tuple[str, str, str, str]] = ()
    """What of it went out of the kitchen while it was set aside: seen, out of, what happened to how many, and why."""


@blueprint.get("/trace")
@requires(Permission.READ_RECORDS)
def trace() -> ResponseReturnValue:
    """Show the search, and what it found."""
    name = request.args.get("name", "").strip()[:_LONGEST]
    found = _find(name)
    view = TracePage(
        name=name,
        trace=found,
        rows=[_row(step) for step in found.steps] if found else [],
        gone=_gone(found.steps) if found else [],
        aside=[_aside(step, findings) for step, findings in found.aside.items()] if found else [],
    )
    return page("tracing/trace.html", 404 if name and found is None else 200, view=view)


@blueprint.get("/trace.csv")
@requires(Permission.READ_RECORDS)
def trace_csv() -> ResponseReturnValue:
    """Give the same as a table for other programs: one line a delivery, a loading or a movement."""
    name = request.args.get("name", "").strip()[:_LONGEST]
    found = _find(name)
    if found is None:
        return page("tracing/trace.html", 404 if name else 200, view=TracePage(name, None, [], []))
    return Response(
        "".join(csv_lines(_HEADINGS, _table(found))),
        mimetype="text/csv",
        headers={"Content-Disposition": 'attachment; filename="trace.csv"'},
    )


def _find(name: str) -> Trace | None:
    if not name:
        return None
    with get_database().reading() as session:
        return ledger.trace(session, identity.current().site.code, name, as_of=clock.utc_now())


def _row(step: Step) -> tuple[str, str, str, str, str]:
    zone = identity.current().site.timezone
    target = words.subject_words(step.target) if step.target else ""
    seen = words.local_date_time(step.at, zone)
    return seen, words.subject_words(step.source), way_words(step.to), target, words.bird_count(step.birds)


def _aside(step: Step, findings: Sequence[Finding]) -> tuple[str, str, str, str]:
    seen, source, way, _target, birds = _row(step)
    why = words.joined(list(dict.fromkeys(words.rule_word(one.rule) for one in findings)))
    return seen, words.sentence_start(source), _("%(birds)s %(way)s", birds=birds, way=way), words.sentence_start(why)


def way_words(to: str) -> str:
    """Say a movement: a way out by its word, a pull or reheat by its kind's."""
    return words.kind_word(to) if to in KINDS else words.to_word(to)


def _gone(steps: Sequence[Step]) -> list[str]:
    sums: dict[str, Decimal] = {}
    for step in steps:
        if step.target is None:
            sums[step.to] = sums.get(step.to, Decimal(0)) + step.birds
    return [_("%(birds)s %(way)s", birds=words.bird_count(birds), way=way_words(to)) for to, birds in sums.items()]


_HEADINGS = ("seen_at_utc", "kind", "lot", "supplier", "from", "to", "into", "birds", "person", "entry_id", "set_aside")


def _table(found: Trace) -> Iterator[tuple[str, ...]]:
    for delivery in found.deliveries:
        yield _line(delivery, delivery.lot, delivery.supplier, "", "", "", str(delivery.birds))
    for loading in found.loadings:
        yield _line(loading, loading.lot or "", "", "", "", loading.spit_subject.label, str(loading.birds))
    for step in found.steps:
        target = step.target.label if step.target else ""
        aside = " ".join(finding.rule for finding in found.aside.get(step, ()))
        yield (*_line(step.entry, "", "", step.source.label, step.to, target, str(step.birds))[:-1], aside)
    for out in found.raw_out:
        yield _line(out, out.lot, "", "", out.to, "", str(out.birds))
    for raw in found.raw:
        if raw.not_loaded:
            yield "", "not_loaded", raw.lot, "", "", "", found.cold_unit or "", str(raw.not_loaded), "", "", ""
    for subject, birds in found.held:
        yield "", "still_here", "", "", subject.label, "", "", str(birds), "", "", ""


def _line(entry: Entry, *cells: str) -> tuple[str, ...]:
    return (entry.observed_at.isoformat(), entry.kind, *cells, entry.person, entry.root, "")
