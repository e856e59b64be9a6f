"""A finding with the means to tell it: its values in words, the entries it rests on and the kitchen's clock."""

from datetime import datetime

from app.kinds import Entry
from app.rules.day.shown import Assessment
from app.rules.facts import Finding, Verdict

from .. import measures


class FindingContext:
    """One finding, as the sentences need it."""

    def __init__(self, finding: Finding, assessment: Assessment) -> None:
        self.finding = finding
        self.measured = finding.measured
        self.limit = finding.limit
        self.assessment = assessment

    @property
    def is_not_met(self) -> bool:
        """Whether the records show a deviation, rather than leave a gap."""
        return self.finding.verdict is Verdict.NOT_MET

    @property
    def onset(self) -> str:
        """When it began, on the kitchen's clock."""
        return self.time(self.finding.onset_at)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries it rests on, newest versions."""
        newest = {entry.root: entry for entry in self.assessment.entries}  # by seq: a later version replaces
        return tuple(newest[root] for root in self.finding.entries if root in newest)

    def time(self, at: datetime) -> str:
        """Give a moment on the kitchen's clock, with the date where it is not the finding's day."""
        return measures.local_time(at, self.assessment.site.timezone, day=self.finding.day)

    def temperature(self) -> str:
        """Give the temperature that was measured; empty where none was."""
        if "temperature" not in self.measured:
            return ""
        return measures.degrees(self.measured["temperature"], self.measured["unit"])

    def limit_degrees(self) -> str:
        """Give the limit in the reading's own unit; in both where there is no reading."""
        units = (self.measured["unit"],) if "temperature" in self.measured else ("F", "C")
        return " / ".join(measures.degrees(self.limit[unit], unit) for unit in units)
