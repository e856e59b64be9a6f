"""The records themselves: who answered a finding, was the day signed, was what was ordered done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from app.kinds import (
    ActionVerified,
    BatchOut,
    CorrectiveAction,
    Entry,
    ReheatDone,
    ReheatStarted,
    SignOff,
    SpitPulled,
    Subject,
    TrayOut,
)
from app.kinds.permissions import Permission, may

from ..facts import Answers, Concern, Finding, Site, Status, Verdict
from ..history import kitchen
from .registry import Critical, Each, Reach, rule
from .report import Report

if TYPE_CHECKING:
    from .judge import Day, Judged

Answer = CorrectiveAction | ActionVerified

_EATEN = ("served", "prepared", "donated", "served_cold", "reheated_to_order")


@dataclass(frozen=True, slots=True)
class KeyParts:
    """A finding's key taken apart: rule, subject kind, label, and the entry (or day) it names."""

    rule: str
    kind: str
    label: str
    names: str


def parse_key(key: str) -> KeyParts | None:
    """Take a finding's key apart; None for what is no key. A label (a lot, say) may hold colons itself."""
    rule, _, rest = key.partition(":")
    kind, _, rest = rest.partition(":")
    label, _, names = rest.rpartition(":")
    return KeyParts(rule, kind, label, names) if rule and kind and label and names else None


class AnswerBook:
    """Corrective actions and verifications, by the rule and subject they answer."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._book: dict[tuple[str, str, str], list[tuple[str, Answer]]] = {}
        for entry in entries:
            if isinstance(entry, CorrectiveAction | ActionVerified):
                for key in entry.findings:
                    parts = parse_key(key)
                    if parts is not None:
                        self._book.setdefault((parts.rule, parts.kind, parts.label), []).append((parts.names, entry))

    def answers(self, finding: Finding) -> list[Answer]:
        """Give what answers a finding: same rule and subject, naming an entry it rests on, or its day."""
        rows = self._book.get((finding.rule, finding.subject.kind, finding.subject.label), ())
        named = {*finding.entries, finding.day.isoformat()}
        return list({entry.seq: entry for names, entry in rows if names in named}.values())


def follow_up(
    finding: Finding, given: Sequence[Answer], *, author: str | None, others: set[str]
) -> tuple[Status, Answers]:
    """Give how far a finding is answered; `author` is the mender of a cleared one, `others` are in charge that day."""
    status = Status.ACTED if author else Status.OPEN
    verified_by: ActionVerified | None = None
    for entry in given:
        if isinstance(entry, CorrectiveAction):
            status, author, verified_by = Status.ACTED, entry.person, None
        elif entry.outcome == "sent_back":
            status, verified_by = Status.OPEN, None
        elif author is not None and status is Status.ACTED and (entry.person != author or not others - {author}):
            status, verified_by = Status.VERIFIED, entry
    answers = Answers(
        actions=tuple(entry for entry in given if isinstance(entry, CorrectiveAction)),
        verifications=tuple(entry for entry in given if isinstance(entry, ActionVerified)),
        verified_by=verified_by,
        by_author=verified_by is not None and verified_by.person == author,
    )
    return status, answers


def is_settled(finding: Finding, *, cleared: bool = False) -> bool:
    """Whether nothing more is owed: a critical limit, or a finding cleared by a mending, wants verification."""
    if cleared or finding.concerns is Concern.CRITICAL_LIMIT:
        return finding.status is Status.VERIFIED
    return finding.status is not Status.OPEN


def in_charge_among(entries: Iterable[Entry], site: Site) -> set[str]:
    """Give the logins of people who made some of these entries in a role that reviews actions."""
    people = (site.author_of(entry) for entry in entries)
    return {person.login for person in people if person and may(person.role, Permission.REVIEW_ACTION)}


@rule(
    "record.sign_off_due",
    group=None,
    each=Each.DAY,
    subjects=("day",),
    reads=(SignOff,),
    reach=(Reach.DAY,),
    verification=True,
    not_met=("none",),
)
def report_sign_off_due(judged: Judged, day: Day) -> None:
    """Report a day that was not signed by the end of the next business day."""
    due_at = judged.calendar.bounds(judged.calendar.day_of(day.ends_at))[1]
    if judged.report.as_of < due_at or not day.has_work:
        return
    signings = [entry for entry in judged.kitchen.of_kind(SignOff) if entry.day == day.day]
    if any(entry.observed_at <= due_at for entry in signings):
        return
    judged.report.add(
        "record.sign_off_due",
        judged.report.subject("day", day.day.isoformat()),
        Verdict.NOT_SHOWN,
        onset_at=due_at,
        day=day.day,
        ended_at=signings[0].observed_at if signings else None,
        limit={"due_at": due_at},
        source="sign-off by the end of the next business day: house",
        plan=day.plan,
    )


@rule(
    "action.done",
    group=None,
    each=Each.KITCHEN,
    subjects=("tray", "batch", "reheat"),
    reads=(CorrectiveAction, TrayOut, BatchOut, ReheatStarted, ReheatDone, SpitPulled),
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    not_met=("discard", "hold_for_evaluation"),
)
def report_discards_undone(judged: Judged, kitchen_: kitchen.Kitchen) -> None:
    """Report food that a corrective action said to discard and that went out to be eaten afterwards."""
    reported: set[Subject] = set()
    for action in kitchen_.of_kind(CorrectiveAction):
        if action.disposition != "discard":
            continue
        for holder, since in _condemned(kitchen_, action):
            eaten = [move for move in holder.outs if move.at > since and getattr(move.entry, "to", None) in _EATEN]
            if eaten and holder.subject not in reported:
                reported.add(holder.subject)
                _add_undone(judged.report, holder, action, eaten)


def _add_undone(
    report: Report, holder: kitchen.Holder, action: CorrectiveAction, eaten: Sequence[kitchen.Movement]
) -> None:
    report.add(
        "action.done",
        holder.subject,
        Verdict.NOT_MET,
        opener=action,
        rests_on=[move.entry for move in eaten],
        onset_at=eaten[0].at,
        measured={"to": getattr(eaten[0].entry, "to", ""), "birds": sum(move.birds for move in eaten)},
        limit={"disposition": "discard"},
        source="what was ordered is done: house",
        plan=holder.plan,
    )


def _condemned(kitchen_: kitchen.Kitchen, action: CorrectiveAction) -> Iterator[tuple[kitchen.Holder, datetime]]:
    """Give the food that an action was about, and where those birds were moved afterwards."""
    since = action.observed_at
    waiting = [(holder, since) for key in action.findings for holder in _food(kitchen_, key)]
    seen: set[Subject] = set()
    while waiting:
        holder, since = waiting.pop()
        if holder.subject in seen:
            continue
        seen.add(holder.subject)
        if holder.subject.kind != "spit":
            yield holder, since
        for move in holder.outs:
            # From a spit or a reheat, the trays it fed, whenever that was; from elsewhere, what was moved afterwards.
            follows = holder.subject.kind in ("spit", "reheat") or move.at > since
            target = kitchen_.holders.get(move.other) if move.other and follows else None
            if target is not None:
                waiting.append((target, max(since, move.at)))


def _food(kitchen_: kitchen.Kitchen, key: str) -> list[kitchen.Holder]:
    parts = parse_key(key)
    if parts is None:
        return []
    if parts.kind == "load":
        load = kitchen_.loads.get(parts.label)
        return list(load.spits.values()) if load else []
    name, _, spit = parts.label.rpartition("/") if parts.kind == "spit" else (parts.label, "", "")
    subject = Subject(parts.kind, name, int(spit) if spit.isdigit() else None)
    holder = kitchen_.holders.get(subject)
    return [holder] if holder else []
