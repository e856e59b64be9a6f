"""Entries as ruled lines of the log: seen, said, read, by whom, written; what was mended stays, struck through."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from app import words
from app.kinds import Entry
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.words.marking import gettext as _

from .writers import Numbers, Writers

_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One version of one entry. `struck` lines were mended or withdrawn; `remark` says by which entry and why."""

    number: int
    what: str
    brief: str
    """The same as `what`, for a place that says what it is about."""
    kind: str = ""
    seen: str = ""
    subject: str = ""
    value: str = ""
    probe: str = ""
    by: str = ""
    short_by: str = ""
    short_number: str = ""
    written: str = ""
    late: bool = False
    remark: str = ""
    struck: bool = False
    entry: Entry | None = None
    """The version that it writes; None for a remark of the program's."""


class Logbook:
    """Writes lines: knows every version of every entry of the day, the people and the kitchen's clock."""

    def __init__(self, assessment: Assessment) -> None:
        self.assessment = assessment
        self._zone = assessment.site.timezone
        self._versions: dict[str, list[Entry]] = {}
        for entry in assessment.entries:
            self._versions.setdefault(entry.root, []).append(entry)
        self.findings = sorted(assessment.findings, key=lambda finding: finding.verdict is not Verdict.NOT_MET)
        """The findings of the day, worst first: the log numbers them in this order."""
        self._rests_on: dict[str, list[int]] = {}
        for number, finding in enumerate(self.findings, start=1):
            for root in finding.entries:
                self._rests_on.setdefault(root, []).append(number)
        written = sorted((*assessment.entries, *assessment.set_up), key=lambda entry: entry.seq)
        self.numbers = Numbers(written)
        self.writers = Writers(written, {login: self.person(login) for login in assessment.site.people})

    def time(self, at: datetime) -> str:
        """Give a moment on the kitchen's clock, with the date where it is another than the day's."""
        return words.local_time(at, self._zone, day=self.assessment.day)

    def person(self, login: str) -> str:
        """Give a person's name as it was, with the login where two had that name; the login where nobody is known."""
        people = self.assessment.site.people
        known = people.get(login)
        if known is None:
            return login
        same = sum(person.name == known.name for person in people.values())
        return known.name if same == 1 else f"{known.name} ({login})"

    def by(self, entry: Entry) -> str:
        """Give who wrote an entry, and through which tablet or token."""
        name = self.person(entry.person)
        if not name:
            return words.via_word(entry.via)
        return name if entry.via == "session" else f"{name}, {words.via_word(entry.via)}"

    def reference(self, entry: Entry) -> str:
        """Give an entry's number, writer and time, as another line refers to it."""
        at = self.seen_and_written(entry)
        return _("no. %(number)s, %(by)s, %(at)s", number=entry.seq, by=self.by(entry), at=at)

    def seen_and_written(self, entry: Entry) -> str:
        """Give when something was seen, and when it was written where that was another minute."""
        seen, written = self.time(entry.observed_at), self.time(entry.entered_at or entry.recorded_at)
        return seen if seen == written else _("%(seen)s, written %(written)s", seen=seen, written=written)

    def lines(self, entries: Iterable[Entry]) -> tuple[Line, ...]:
        """Write entries in order of the time seen, each after the versions that it mended."""
        ordered = sorted(entries, key=lambda entry: (entry.observed_at, entry.root_seq))
        return tuple(line for entry in ordered for line in self._with_versions(entry))

    def remark(self, text: str) -> Line:
        """Write a line that is no entry."""
        return Line(number=0, what=text, brief=text)

    def withdrawn(self) -> tuple[Line, ...]:
        """Write the entries that were withdrawn, struck through."""
        ends = [versions for versions in self._versions.values() if versions[-1].withdrawn]
        return tuple(line for versions in ends for line in self._struck(versions))

    def of_day(self, *kinds: type[Entry]) -> list[Entry]:
        """Give the day's entries of some kinds: newest versions, without withdrawn ones."""
        day = self.assessment
        newest = (versions[-1] for versions in self._versions.values())
        return [
            entry for entry in newest if isinstance(entry, kinds) and day.starts_at <= entry.observed_at < day.ends_at
        ]

    def _with_versions(self, entry: Entry) -> list[Line]:
        earlier = [version for version in self._versions.get(entry.root, ()) if version.seq < entry.seq]
        line = self._line(entry)
        if not earlier:
            return [line]
        mends = _("corrects no. %(number)s", number=earlier[-1].seq)
        return [*self._struck([*earlier, entry]), replace(line, remark=_joined(mends, line.remark))]

    def _struck(self, versions: list[Entry]) -> list[Line]:
        lines = []
        for old, new in pairwise(versions):
            reason = new.amend_reason or ""
            message = (
                _("withdrawn by %(entry)s: %(reason)s") if new.withdrawn else _("corrected by %(entry)s: %(reason)s")
            )
            remark = message % {"entry": self.reference(new), "reason": reason}
            lines.append(replace(self._line(old), remark=remark, struck=True))
        return lines

    def _line(self, entry: Entry) -> Line:
        said = words.entry_words(entry, self._zone)
        entered = entry.entered_at
        return Line(
            number=entry.seq,
            kind=words.kind_word(entry.kind),
            seen=self.time(entry.observed_at),
            subject=said.subject,
            what=said.what,
            brief=said.brief,
            value=said.value,
            probe=said.probe,
            by=self.by(entry),
            short_by=self.writers.short(entry),
            short_number=self.numbers.short(entry.seq),
            written=self.time(entered or entry.recorded_at),
            late=entry.late,
            entry=entry,
            remark=_joined(said.note, self._sent_later(entry, entered), self._finding_words(entry)),
        )

    def _sent_later(self, entry: Entry, entered: datetime | None) -> str:
        if entered is None or entry.recorded_at - entered <= _MINUTE:
            return ""
        return _("kept on the tablet until %(at)s", at=self.time(entry.recorded_at))

    def _finding_words(self, entry: Entry) -> str:
        numbers = self._rests_on.get(entry.root, ())
        return _("finding %(numbers)s", numbers=", ".join(map(str, numbers))) if numbers else ""


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part)
