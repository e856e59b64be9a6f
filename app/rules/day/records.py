"""The records themselves: who answered a finding, was the day signed, was what was ordered done."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from app.kinds.permissions import Permission, may

from ..facts import Answers, Concern, Entry, Finding, Site, Status, Subject, Verdict
from ..history import kitchen
from ..plans.plan import Plan
from .report import Report

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
        self._book: dict[tuple[str, str, str], list[tuple[str, Entry]]] = {}
        for entry in entries:
            if entry.kind in ("corrective_action", "action_verified"):
                for key in entry.fields["findings"]:
                    parts = parse_key(key)
                    if parts is not None:
                        self._book.setdefault((parts.rule, parts.kind, parts.label), []).append((parts.names, entry))

    def answers(self, finding: Finding) -> list[Entry]:
        """Give what answers a finding: same rule and subject, naming an entry it rests on, or its day."""
        rows = self._book.get((finding.rule, finding.subject.kind, finding.subject.label), ())
        named = {*finding.entries, finding.day.isoformat()}
        return list({entry.seq: entry for names, entry in rows if names in named}.values())


def follow_up(
    finding: Finding, given: Sequence[Entry], *, author: str | None, others: set[str]
) -> tuple[Status, Answers]:
    """Give how far a finding is answered; `author` is the mender of a cleared one, `others` are in charge that day."""
    status = Status.ACTED if author else Status.OPEN
    verified_by: Entry | None = None
    for entry in given:
        if entry.kind == "corrective_action":
            status, author, verified_by = Status.ACTED, entry.person, None
        elif entry.fields["outcome"] == "sent_back":
            status, verified_by = Status.OPEN, None
        elif author is not None and status is Status.ACTED and (entry.person != author or not others - {author}):
            status, verified_by = Status.VERIFIED, entry
    answers = Answers(
        actions=tuple(entry for entry in given if entry.kind == "corrective_action"),
        verifications=tuple(entry for entry in given if entry.kind == "action_verified"),
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
    """Give the logins of people who made some of these entries and whose role reviews actions."""
    people = {entry.person: site.people.get(entry.person) for entry in entries}
    return {login for login, person in people.items() if person and may(person.role, Permission.REVIEW_ACTION)}


def find_sign_off_due(report: Report, kitchen_: kitchen.Kitchen, day: date, *, due_at: datetime, plan: Plan) -> None:
    """Report a day that was not signed by the end of the next business day."""
    if report.as_of < due_at:
        return
    signings = [entry for entry in kitchen_.of_kind("sign_off") if entry.fields["day"] == day]
    if any(entry.observed_at <= due_at for entry in signings):
        return
    report.add(
        "record.sign_off_due",
        report.subject("day", day.isoformat()),
        Verdict.NOT_SHOWN,
        onset_at=due_at,
        day=day,
        ended_at=signings[0].observed_at if signings else None,
        limit={"due_at": due_at},
        source="sign-off by the end of the next business day: house",
        plan=plan,
    )


def find_discards_undone(report: Report, kitchen_: kitchen.Kitchen) -> None:
    """Report food that a corrective action said to discard and that went out to be eaten afterwards."""
    reported: set[Subject] = set()
    for action in kitchen_.of_kind("corrective_action"):
        if action.fields["disposition"] != "discard":
            continue
        for holder, since in _condemned(kitchen_, action):
            eaten = [move.entry for move in holder.outs if move.at > since and move.entry.fields.get("to") in _EATEN]
            if eaten and holder.subject not in reported:
                reported.add(holder.subject)
                _add_undone(report, holder, action, eaten)


def _add_undone(report: Report, holder: kitchen.Holder, action: Entry, eaten: Sequence[Entry]) -> None:
    report.add(
        "action.done",
        holder.subject,
        Verdict.NOT_MET,
        opener=action,
        rests_on=eaten,
        onset_at=eaten[0].observed_at,
        measured={"to": eaten[0].fields["to"], "birds": sum(entry.fields["birds"] for entry in eaten)},
        limit={"disposition": "discard"},
        source="what was ordered is done: house",
        plan=holder.plan,
    )


def _condemned(kitchen_: kitchen.Kitchen, action: Entry) -> Iterator[tuple[kitchen.Holder, datetime]]:
    """Give the food that an action was about, and where those birds were moved afterwards."""
    since = action.observed_at
    waiting = [(holder, since) for key in action.fields["findings"] for holder in _food(kitchen_, key)]
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
