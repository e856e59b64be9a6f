"""A subject while entries are checked: what is left of it, and since when nothing is."""

from app.ledger.checks.states import Fact, State
from tests.support.cast import moment

FILLED, PART_OUT, LAST_OUT = (int(moment(at).timestamp() * 1000) for at in ("10:36", "11:00", "11:30"))


def state(*moves: tuple[int, int], kind: str = "tray") -> State:
    """A subject that was filled first; each movement is its moment and its quarters of birds."""
    facts = [
        Fact(at, number, number, "fill" if quarters > 0 else "take", quarters, 0)
        for number, (at, quarters) in enumerate(moves, start=1)
    ]
    return State(f"{kind}:A-T1", facts)


def test_it_is_emptied_by_the_last_that_went_out() -> None:
    assert state((FILLED, 20), (PART_OUT, -8), (LAST_OUT, -12)).emptied_at() == LAST_OUT


def test_it_is_not_emptied_while_a_quarter_is_left() -> None:
    assert state((FILLED, 20), (PART_OUT, -8), (LAST_OUT, -11)).emptied_at() is None


def test_what_went_out_by_a_clock_behind_empties_it_when_it_was_filled() -> None:
    assert state((FILLED, 20), (FILLED - 60_000, -20)).emptied_at() == FILLED
