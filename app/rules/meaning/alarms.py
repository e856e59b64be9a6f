"""What sounds an alarm, from when it is overdue, and whether somebody silenced it: one thing, one alarm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.kinds import AlarmSilenced, Entry
from app.kinds.naming import about, names_of

from ..day.shown import Assessment
from ..day.subjects_shown import BatchView, ReheatView, TrayView
from ..facts import Verdict
from ..history.versions import effective
from . import holding, reheating

SOON = timedelta(minutes=15)
"""So long before something is lost or due it is pressing (common practice, no source)."""
_HOLDERS = frozenset(("load", "tray", "batch", "reheat"))


@dataclass(frozen=True, slots=True)
class Alarm:
    """One thing that wants somebody: what it is about (as in `alarm_silenced`), what it asks for."""

    about: str
    name: str
    asks: str
    overdue_since: datetime | None = None
    """From when it is overdue; None while it is in time, or where there is no such moment."""

    @property
    def key(self) -> str:
        """What tells one alarm from another."""
        return f"{self.about}:{self.name}:{self.asks}"


def of_tray(tray: TrayView, now: datetime) -> Alarm:
    """Give the alarm of a tray that holds birds: to be thrown away, used in time, or checked."""
    if holding.must_go(tray):
        return Alarm("tray", tray.tray, "throw_away", _lost_since(tray, now))
    ends = holding.use_by(tray, now)
    if ends is not None:
        return Alarm("tray", tray.tray, "use_soon" if ends - now <= SOON else "use_by")
    due = tray.check_due_at
    is_over = due is not None and due < now
    return Alarm("tray", tray.tray, "check_overdue" if is_over else "check_due", due if is_over else None)


def _lost_since(tray: TrayView, now: datetime) -> datetime | None:
    if tray.by_time or not tray.running_out:
        return tray.discard_at
    out = timedelta(seconds=tray.out_of_temperature_s) - timedelta(minutes=holding.usable_min(tray))
    return now - out


def of_reheat(reheat: ReheatView, now: datetime) -> Alarm:
    """Give the alarm of a reheat: hot in time, or into a tray when it is hot and held."""
    means = reheating.reheat_meaning(reheat)
    if means is not None and means.verdict is Verdict.MET:
        return Alarm("reheat", reheat.reheat, "into_tray")
    return Alarm("reheat", reheat.reheat, "hot_by", reheat.due_at if reheat.due_at < now else None)


def of_past_date(batch: BatchView, starts_at: datetime) -> Alarm:
    """Give the alarm of a batch whose last day is over; `starts_at` is when the running day began."""
    return Alarm("batch", batch.batch, "past_date", starts_at)


def overdue(assessment: Assessment) -> Iterator[Alarm]:
    """Give what is overdue: checks of trays, food whose time is over, reheats, batches past their date.

    Food that is set aside is among it, from then on: it waits until somebody decides.
    """
    now = assessment.as_of
    found = [_aside("tray", one.tray, one) or of_tray(one, now) for one in assessment.trays if one.birds_left]
    found += [_aside("reheat", one.reheat, one) or of_reheat(one, now) for one in assessment.reheats if one.birds_left]
    for batch in assessment.batches:
        if batch.birds_left:
            is_past = batch.use_by is not None and assessment.day > batch.use_by
            past = of_past_date(batch, assessment.starts_at) if is_past else None
            found += filter(None, [_aside("batch", batch.batch, batch) or past])
    yield from (alarm for alarm in found if alarm.overdue_since is not None)


def _aside(kind: str, name: str, holder: TrayView | BatchView | ReheatView) -> Alarm | None:
    return Alarm(kind, name, "set_aside", holder.set_aside.since) if holder.set_aside else None


class Silences:
    """The alarms that somebody silenced, by the records of a day."""

    def __init__(self, entries: Sequence[Entry], *, as_of: datetime) -> None:
        self._entries = effective(entries, as_of=as_of)
        self._said = [one for one in self._entries if isinstance(one, AlarmSilenced)]

    def of(self, alarm: Alarm) -> AlarmSilenced | None:
        """Give the entry that silences an alarm; None where there is none, or the thing changed since."""
        said = [one for one in self._said if (one.about, one.name, one.alarm) == (alarm.about, alarm.name, alarm.asks)]
        if not said or any(_changes(entry, said[-1]) for entry in self._entries):
            return None
        return said[-1]


def _changes(entry: Entry, silence: AlarmSilenced) -> bool:
    """Whether an entry that was kept after the silence changes what that is about.

    Probing a spit goes on while it waits to be pulled: only birds that come off, or go on, change that.
    """
    if entry.seq < silence.seq or isinstance(entry, AlarmSilenced):
        return False
    if silence.about in _HOLDERS:
        is_named = (silence.about, silence.name) in names_of(entry)
        return is_named and (silence.alarm != "pull" or bool(entry.flows()))
    subject = about(entry)
    return subject is not None and subject.name == silence.name
