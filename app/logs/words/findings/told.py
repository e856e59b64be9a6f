"""A finding with the means to tell it: its values, the entries it rests on and the kitchen's clock."""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

from app.logs.words import measures
from app.logs.words.subjects import sentence_start, subject_words
from app.rules.facts import Assessment, Entry, Finding, Temperature, Verdict
from app.rules.plan import Plan


class Told:
    """One finding, as the sentences need it. Values that a rule did not give are taken from the entries it rests on."""

    def __init__(self, finding: Finding, assessment: Assessment) -> None:
        self.finding = finding
        self.measured = finding.measured
        self.limit = finding.limit
        self._assessment = assessment

    @property
    def is_not_met(self) -> bool:
        """Whether the records show a deviation, rather than leave a gap."""
        return self.finding.verdict is Verdict.NOT_MET

    @property
    def subject(self) -> str:
        """What it is about, as a sentence starts with it."""
        return sentence_start(subject_words(self.finding.subject))

    @property
    def onset(self) -> str:
        """When it began, on the kitchen's clock."""
        return self.time(self.finding.onset_at)

    def time(self, at: datetime) -> str:
        """Give a moment on the kitchen's clock, with the date where it is not the finding's day."""
        return measures.local_time(at, self._assessment.site.timezone, day=self.finding.day)

    def lasted(self) -> str:
        """Give how long it went on, until it ended or until now."""
        end = self.finding.ended_at or self._assessment.as_of
        return measures.duration(end - self.finding.onset_at)

    @property
    def opener(self) -> Entry | None:
        """The entry that opened the finding, in its newest version; some findings have none."""
        return next(iter(self.entries), None)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries it rests on, newest versions, in the finding's order."""
        newest = {entry.root: entry for entry in self._assessment.entries}  # by seq: a later version replaces
        return tuple(newest[root] for root in self.finding.entries if root in newest)

    def field(self, name: str) -> Any:
        """Give a field of the opener, or None."""
        return self.opener.fields.get(name) if self.opener else None

    def measured_temperature(self) -> str:
        """Give in words the temperature that the rule measured; empty where it measured none."""
        if "temperature" not in self.measured:
            return ""
        return measures.degrees(self.measured["temperature"], self.measured["unit"])

    def read(self) -> Temperature | None:
        """Give the temperature it rests on, if any."""
        if "temperature" in self.measured:
            return Temperature(Decimal(self.measured["temperature"]), self.measured["unit"])
        return self.opener.temperature if self.opener else None

    @property
    def plan(self) -> Plan:
        """The plan of the day."""
        plan: Plan = self._assessment.plan
        return plan

    def temperature(self) -> str:
        """Give that temperature in words."""
        read = self.read()
        return "" if read is None else measures.measured(read)

    def limit_degrees(self) -> str:
        """Give the limit in the reading's own unit; in both where there is no reading."""
        read = self.read()
        units = ("F", "C") if read is None else (read.unit,)
        return " / ".join(measures.degrees(Decimal(self.limit[unit]), unit) for unit in units if unit in self.limit)


Sentence = Callable[[Told], str]
