"""The readings of a spit as series: only those of one bird at one place belong to one another."""

from collections.abc import Iterable, Mapping

from app.kinds import Entry


def by_bird_and_place(readings: Iterable[Entry]) -> Mapping[tuple[int, str], list[Entry]]:
    """Give the cook readings of each bird and place, each series in the order given."""
    series: dict[tuple[int, str], list[Entry]] = {}
    for entry in readings:
        series.setdefault((entry.fields["bird"], entry.fields["place"]), []).append(entry)
    return series
