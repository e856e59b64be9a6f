"""Food that goes anywhere (Hypothesis): pulled, held, chilled, reheated, cooked on; some of it read low or too late."""

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from app.kinds import Entry
from tests.support.cast import entry, minutes, moment

STARTED = moment("08:00")
LATEST = moment("22:00")


class Moves:
    """Writes one movement or reading after the other, of birds that are there."""

    def __init__(self, draw: Any) -> None:
        self.draw, self.at, self.seq = draw, STARTED, 1000
        self.story: list[Entry] = []
        self.held: dict[str, Decimal] = {}
        self.names = 0

    def put(self, kind: str, **fields: Any) -> None:
        """Write an entry a little later than the last."""
        self.at = min(self.at + minutes(self.draw(st.sampled_from([0, 1, 10, 40, 100]))), LATEST)
        self.seq += 1
        self.story.append(entry(kind, at=self.at, seq=self.seq, **fields))

    def one_of(self, *values: Any) -> Any:
        """Give one of some values."""
        return self.draw(st.sampled_from(values))

    def some(self, prefix: str) -> str | None:
        """Give something of a kind that holds birds."""
        there = [name for name, birds in self.held.items() if name.startswith(prefix) and birds > 0]
        return self.one_of(*there) if there else None

    def target(self, prefix: str, not_this: str = "") -> str:
        """Give a new name, or one that holds birds."""
        there = [name for name, birds in self.held.items() if name.startswith(prefix) and birds > 0]
        there = [name for name in there if name != not_this]
        self.names += 1
        return self.one_of(*there, f"{prefix}{self.names}")

    def take(self, name: str, into: str | None = None) -> int:
        """Take one bird, or all, out of something."""
        birds = int(self.one_of(Decimal(1), self.held[name]))
        self.held[name] -= birds
        if into is not None:
            self.held[into] = self.held.get(into, Decimal(0)) + birds
        return birds

    def read(self, *temperatures: str) -> dict[str, Any]:
        """Give a temperature read with one of two probes."""
        return {"temperature": self.one_of(*temperatures), "unit": "F", "probe": self.one_of("blue", "white")}


def _load(moves: Moves) -> None:
    moves.put("load_started")
    for spit in (1, 2):
        ties = moves.one_of({}, {"ties": 4})
        moves.put("spit_loaded", spit=spit, birds=4, lot=moves.one_of("0412-7", "0413-1"), **ties)
        moves.held[f"S{spit}"] = Decimal(4)


def _probe(moves: Moves) -> None:
    spit = moves.some("S")
    if spit is not None:
        moves.put("cook_reading", spit=int(spit[1:]), bird=moves.one_of(1, 2), **moves.read("166", "150", "171"))


def _pull(moves: Moves) -> None:
    spit = moves.some("S")
    if spit is not None:
        tray = moves.target("T")
        off = moves.one_of({}, {"ties_removed": 1})
        moves.put("spit_pulled", spit=int(spit[1:]), tray=tray, birds=moves.take(spit, tray), **off)


def _out(moves: Moves) -> None:
    tray, to = (
        moves.some("T"),
        moves.one_of("served", "discarded", "other_tray", "chilled", "reheated", "returned_to_oven"),
    )
    if tray is None:
        return
    more: dict[str, Any] = {}
    into = {"other_tray": "T", "chilled": "B", "reheated": "R"}.get(to)
    target = moves.target(into, tray) if into else None
    if target is not None:
        more = {{"other_tray": "into", "chilled": "batch", "reheated": "reheat"}[to]: target}
    elif to == "returned_to_oven":
        moves.names += 1
        target = f"S{moves.names + 10}"
        more = {"load": "A-L1", "spit": moves.names + 10}
    moves.put("tray_out", tray=tray, to=to, birds=moves.take(tray, target), **more)


def _hold(moves: Moves) -> None:
    tray = moves.some("T")
    if tray is not None:
        moves.put("hold_reading", tray=tray, **moves.read("150", "130", "136"))


def _cool(moves: Moves) -> None:
    batch = moves.some("B")
    if batch is not None:
        moves.put("cooling_reading", batch=batch, **moves.read("80", "65", "40", "45"))


def _batch_out(moves: Moves) -> None:
    batch = moves.some("B")
    if batch is not None:
        moves.put("batch_out", batch=batch, to=moves.one_of("served_cold", "discarded"), birds=moves.take(batch))


def _reheat(moves: Moves) -> None:
    batch = moves.some("B")
    if batch is not None:
        moves.names += 1
        reheat = f"R{moves.names}"
        moves.put("reheat_started", batch=batch, reheat=reheat, birds=moves.take(batch, reheat))


def _read_reheat(moves: Moves) -> None:
    reheat = moves.some("R")
    if reheat is not None:
        moves.put("reheat_reading", reheat=reheat, held_s=moves.one_of(0, 15), **moves.read("166", "150"))


def _finish(moves: Moves) -> None:
    reheat = moves.some("R")
    if reheat is not None:
        tray = moves.target("T")
        moves.put("reheat_done", reheat=reheat, tray=tray, birds=moves.take(reheat, tray))


def _check(moves: Moves) -> None:
    moves.put("probe_check", probe=moves.one_of("blue", "white"), temperature=moves.one_of("32", "36"))


def _oven(moves: Moves) -> None:
    moves.put(moves.one_of("equipment_out", "equipment_back"), code="east")


_JOBS = [_probe, _probe, _pull, _pull, _out, _out, _out, _hold, _cool, _batch_out, _reheat, _read_reheat, _finish]


@st.composite
def foods(draw: Any) -> list[Entry]:
    """A day of one load whose birds go anywhere."""
    moves = Moves(draw)
    moves.put("receiving", lot="0412-7", decision=moves.one_of("accepted", "rejected"))
    _load(moves)
    for job in draw(st.lists(st.sampled_from([*_JOBS, _check, _oven]), min_size=5, max_size=30)):
        job(moves)
    return moves.story
