"""One line of the first page: what is to be done, by when, and the page that does it."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum

from flask_babel import gettext as _

from app import words
from app.logs.drawings import Rod, TimeLine
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.rules.meaning.alarms import SOON, Alarm


class Urgency(IntEnum):
    """How soon: in this order the jobs stand on the page, within one by the moment at which something is lost."""

    RUNNING_OUT = 0
    """Food that is lost if nothing is done in the next minutes: it stands above what is set aside."""
    NOW = 1
    """Due within minutes, or over."""
    ANSWER = 2
    """An answer that was sent back: somebody asks for more."""
    LATER = 3
    DURING_THE_DAY = 4
    """A check of the kitchen that has no hour of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpitLine:
    """A spit of a load as its rod, what is next for it, and the page where its birds are probed."""

    rod: Rod
    verdict: Verdict
    says: str
    probe: str
    pull: str | None
    """The page that pulls it, where its readings are at the limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One line: in the margin how long, then what to do, the latest reading and what else is known, one button."""

    urgency: Urgency
    at: datetime
    verdict: Verdict
    title: str
    says: str
    when: str
    when_small: str
    href: str
    label: str
    reading: str = ""
    means: str = ""
    """What it means that it is late, by its own plan; empty where it is in time."""
    briefly: str = ""
    """The same as short as it stands in the band over every page, in place of when it was due."""
    is_loss: bool = False
    """Whether food is thrown away when the time in the margin is over."""
    time_line: TimeLine | None = None
    spits: tuple[SpitLine, ...] = ()
    page: str | None = None
    """The page of its subject, where the button leads elsewhere."""
    alarm: Alarm | None = None
    """What sounds while it is pressing; None for what never does."""
    silenced: str = ""
    """Who silenced its alarm, when and why; empty where nobody did."""

    @property
    def is_pressing(self) -> bool:
        """Whether it cannot wait: it is lost soon, due within minutes, or over."""
        return self.urgency <= Urgency.NOW

    @property
    def sounds(self) -> bool:
        """Whether its alarm stands over every page."""
        return self.is_pressing and not self.silenced

    @property
    def can_be_silenced(self) -> bool:
        """Whether it sounds an alarm that somebody may silence."""
        return self.sounds and self.alarm is not None


def urgency(at: datetime, now: datetime) -> Urgency:
    """Give how soon a moment is."""
    return Urgency.NOW if at - now <= SOON else Urgency.LATER


def until(at: datetime, now: datetime) -> str:
    """Give how long it is until a moment: `21 min`; after it `overdue 21 min`."""
    return str(_("overdue %(length)s", length=large(now - at))) if at < now else large(at - now)


def large(length: timedelta) -> str:
    """Give a length of time as it is read from two metres, which no line breaks apart: `21 min`, `2 h 05`."""
    hours, minutes = divmod(length // timedelta(minutes=1), 60)
    said = (
        _("%(hours)s h %(minutes)s", hours=hours, minutes=f"{minutes:02d}")
        if hours
        else _("%(count)s min", count=minutes)
    )
    return str(said).replace(" ", "\N{NO-BREAK SPACE}")


def due_words(at: datetime, assessment: Assessment) -> str:
    """Give by when a check is due."""
    return str(_("due %(time)s", time=words.local_time(at, assessment.site.timezone, day=assessment.day)))
