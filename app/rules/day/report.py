"""The report of findings while a day is assessed: one place that gives each its key, day and dispositions."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from app.kinds import Entry, Subject, Temperature

from ..facts import Concern, Finding, Verdict
from ..plans.adopted_values import FIRST_BAND
from ..plans.plan import Plan
from .registry import RULES


@dataclass(slots=True)
class Report:
    """Findings so far. `day_of` gives the business day of a moment."""

    as_of: datetime
    day_of: Callable[[datetime], date]
    subject: Callable[..., Subject]
    findings: list[Finding] = field(default_factory=list)
    setting_aside: list[Finding] = field(default_factory=list)
    """Those that set food aside, by plans that have this in force."""

    def add(
        self,
        rule: str,
        subject: Subject,
        verdict: Verdict,
        *,
        plan: Plan,
        source: str = "",
        opener: Entry | None = None,
        rests_on: Iterable[Entry] = (),
        onset_at: datetime | None = None,
        found_at: datetime | None = None,
        ended_at: datetime | None = None,
        day: date | None = None,
        measured: Mapping[str, Any] | None = None,
        limit: Mapping[str, Any] | None = None,
        band: str | None = None,
        has_ended: bool = False,
    ) -> None:
        """Add a finding; its onset is the opener's moment, its day the onset's, its source the rule's own, where not
        said otherwise."""
        onset = onset_at or (opener.observed_at if opener else self.as_of)
        on = day or self.day_of(onset)
        tail = opener.root if opener else on.isoformat()
        roots = [entry.root for entry in rests_on]
        declared = RULES[rule]
        sets_aside = declared.can_set_aside(verdict, subject.kind) and plan.has("set_aside")
        finding = Finding(
            key=f"{rule}:{subject.kind}:{subject.label}:{tail}",
            rule=rule,
            subject=subject,
            verdict=verdict,
            concerns=Concern.CRITICAL_LIMIT if sets_aside else declared.concern(verdict),
            day=on,
            onset_at=onset,
            found_at=max(found_at or onset, onset),
            ended_at=ended_at,
            entries=tuple(dict.fromkeys([opener.root, *roots] if opener else roots)),
            measured=measured or {},
            limit=limit or {},
            source=source or declared.source,
            dispositions=dispositions_of(rule, verdict, kind=subject.kind, plan=plan, band=band, has_ended=has_ended),
            sets_aside=sets_aside,
        )
        self.findings.append(finding)
        if sets_aside:
            self.setting_aside.append(finding)


@lru_cache(maxsize=4096)
def dispositions_of(
    rule: str, verdict: Verdict, *, kind: str, plan: Plan, band: str | None = None, has_ended: bool = False
) -> tuple[str, ...]:
    """Give what may become of the food: by the plan, else as the rule declares; in a band what the band allows too.

    What has ended in the first band may also be left as it is.
    """
    declared = RULES[rule]
    of_plan = {} if kind in declared.by_subject else plan.dispositions.get(rule, {})
    own = of_plan[verdict] if verdict in of_plan else declared.dispositions_for(verdict, kind)
    in_band = () if band is None else plan.bands[band].dispositions
    out = ("already_out",) if declared.already_out else ()
    nothing = ("none",) if has_ended and band == FIRST_BAND else ()
    return tuple(dict.fromkeys((*in_band, *own, *out, *nothing)))


def shown(reading: Temperature) -> dict[str, object]:
    """Give a reading as a finding's `measured` shows it."""
    return {"temperature": reading.value, "unit": reading.unit}
