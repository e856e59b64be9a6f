"""The readings of a spit as series: only those of one bird at one place belong to one another."""

from collections.abc import Iterable, Mapping

from app.kinds import CookReading


def by_bird_and_place(readings: Iterable[CookReading]) -> Mapping[tuple[int, str], list[CookReading]]:
    """Give the cook readings of each bird and place, each series in the order given."""
    series: dict[tuple[int, str], list[CookReading]] = {}
    for entry in readings:
        series.setdefault((entry.bird, entry.place), []).append(entry)
    return series
