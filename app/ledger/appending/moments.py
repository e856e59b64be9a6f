"""When an entry is recorded: never before the one that it follows, whatever the server's clock says."""

from datetime import datetime, timedelta

BEHIND_AT_MOST = timedelta(seconds=5)
"""So far a clock is set back in the ordinary course of keeping it right: no reason to keep anybody waiting."""


class ClockBehind(Exception):
    """Nothing can be kept: the server's clock is further behind its own records than a clock is set right by.

    `was` is when the newest entry was recorded, `is_` what the clock says.
    """

    def __init__(self, site: str, *, was: datetime, is_: datetime) -> None:
        super().__init__(f"the clock of this server is behind its own records: {site} {was} {is_}")
        self.site, self.was, self.is_ = site, was, is_

    @property
    def behind(self) -> timedelta:
        """How far the clock is behind."""
        return self.was - self.is_


def is_behind(at: datetime, newest: datetime | None) -> bool:
    """Whether a clock that says `at` is too far behind the newest entry for anything to be kept."""
    return newest is not None and newest - at > BEHIND_AT_MOST


def recorded_at(site: str, at: datetime, newest: datetime | None) -> datetime:
    """Give the moment that an entry written at `at` is recorded at; `newest` is that of the entry before it.

    Raises ClockBehind.
    """
    if newest is None or at >= newest:
        return at
    if is_behind(at, newest):
        raise ClockBehind(site, was=newest, is_=at)
    return newest
