"""Days of a kitchen at random: most of what is written down is in order, some is not, and some is mended."""

import random
import uuid
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from tests.support import cast

START = cast.moment("07:00")
DAYS = 3


class NothingThere(Exception):
    """A job finds nothing to do."""


class Diary:
    """Writes entries at random; what the ledger refuses of it stays refused.

    It counts birds about as the ledger does, so that most of what it takes out of something is there.
    """

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.at = START
        self.drafts: list[dict[str, Any]] = []
        self.spits: list[tuple[str, int]] = []
        self.trays: list[str] = []
        self.batches: list[str] = []
        self.reheats: list[str] = []
        self.held: dict[object, Decimal] = {}
        """Birds on a spit, or in a tray, batch or reheat, by its name."""

    def write(self, entries: int) -> list[dict[str, Any]]:
        """Give so many drafts, in the order in which they are written down."""
        jobs = [self._load, self._read, *[self._pull] * 4, self._hold, self._hold, *[self._out] * 4]
        jobs += [self._cool, self._cool, self._start_reheat, self._read_reheat, *[self._finish_reheat] * 2]
        jobs += [self._batch_out, self._move_batch, self._check, self._check_unit, self._list, self._set_oven]
        jobs += [self._mend, self._withdraw, self._break_oven, self._deliver, self._control, self._move]
        while len(self.drafts) < entries:
            self.at += timedelta(minutes=self.rng.choice([1, 5, 20, 45, 120]))
            if self.rng.random() < 0.03:
                self.at += timedelta(hours=8)
            with suppress(NothingThere):
                self.rng.choice(jobs)()
        return self.drafts

    def _put(self, kind: str, **fields: Any) -> None:
        # Some things are written down later than they were seen.
        earlier = timedelta(minutes=self.rng.choice([0] * 17 + [1, 30, 240]) if kind != "spit_loaded" else 0)
        own_id = str(uuid.UUID(int=self.rng.getrandbits(128)))
        self.drafts.append(cast.draft(kind, at=self.at - earlier, id=own_id, **fields))

    def _name(self, names: list[str], prefix: str) -> str:
        """Give a name: a new one, or one that is there."""
        there = [name for name in names if self.held.get(name, 0) > 0]
        if not names or self.rng.random() < 0.8:
            names.append(f"{prefix}{len(names) + 1}")
            return names[-1]
        return self.rng.choice(there or names[-3:])

    def _recent(self, names: list[Any], otherwise: Any) -> Any:
        """Give one of the last few; mostly one that still holds birds, where that is counted."""
        full = [name for name in names[-8:] if self.held.get(name, 0) > 0]
        if self.rng.random() < 0.9:
            if not full:
                raise NothingThere
            return self.rng.choice(full)
        return self.rng.choice(names[-5:]) if names else otherwise

    def _take(self, name: object, *choices: str) -> str:
        """Give how many birds to take out of something: mostly what is there."""
        birds, there = self.rng.choice(choices), self.held.get(name, Decimal(0))
        if there and Decimal(birds) > there and self.rng.random() < 0.9:
            birds = str(there)
        self.held[name] = max(there - Decimal(birds), Decimal(0))
        return birds

    def _put_in(self, name: str, birds: str) -> None:
        self.held[name] = self.held.get(name, Decimal(0)) + Decimal(birds)

    def _temperature(self, *choices: str) -> dict[str, Any]:
        return {"temperature": self.rng.choice(choices), "unit": "F", "probe": self.rng.choice(["blue", "white"])}

    def _load(self) -> None:
        name = f"L{1 + len({load for load, _spit in self.spits})}"
        checks = {"water": True, "grease": self.rng.random() < 0.9, "birds": None}
        self._put("load_started", load=name, oven=self.rng.choice(["east", "west"]), checks=checks)
        for spit in range(1, self.rng.randint(2, 4)):
            self.spits.append((name, spit))
            self.held[name, spit] = Decimal(5)
            ties = {"ties": 5} if self.rng.random() < 0.3 else {}
            self._put("spit_loaded", load=name, spit=spit, birds=5, lot=self.rng.choice(["A1", "A2"]), **ties)

    def _read(self) -> None:
        load, spit = self._recent(self.spits, ("L1", 1))
        self._put("cook_reading", load=load, spit=spit, bird=self.rng.randint(1, 5), **self._temperature("170", "160"))

    def _pull(self) -> None:
        load, spit = self._recent(self.spits, ("L1", 1))
        tray = self._name(self.trays, "T")
        birds = int(self._take((load, spit), "5", "5", "2"))
        self._put_in(tray, str(birds))
        self._put("spit_pulled", load=load, spit=spit, tray=tray, birds=birds, hot_unit="pass", ties_removed=birds)

    def _hold(self) -> None:
        self._put("hold_reading", tray=self._recent(self.trays, "T1"), **self._temperature("150", "130"))

    def _move(self) -> None:
        self._put("tray_moved", tray=self._recent(self.trays, "T1"), hot_unit=self.rng.choice(["pass", "cabinet"]))

    def _control(self) -> None:
        self._put("time_control_started", tray=self._recent(self.trays, "T1"))

    def _out(self) -> None:
        to = self.rng.choice(
            ["served", "discarded", "chilled", "chilled", "chilled", "reheated", "other_tray", "returned_to_oven"]
        )
        tray, more = self._recent(self.trays, "T1"), self._where_to(to)
        birds = self._take(tray, "1", "2", "5")
        into = next((more[name] for name in ("batch", "reheat", "into") if name in more), None)
        if into is not None:
            self._put_in(into, birds)
        self._put("tray_out", tray=tray, birds=birds, to=to, **more)

    def _where_to(self, to: str) -> dict[str, Any]:
        more: dict[str, Any] = {}
        if to == "chilled":
            more = {"batch": self._name(self.batches, "B"), "cold_unit": "walk-in"}
        elif to == "reheated":
            more = {"reheat": self._name(self.reheats, "R")}
        elif to == "other_tray":
            more = {"into": self._name(self.trays, "T")}
        elif to == "returned_to_oven":
            load, spit = self._recent(self.spits, ("L1", 1))
            more = {"load": load, "spit": spit + 10}
            self.spits.append((load, spit + 10))
        return more

    def _cool(self) -> None:
        self._put("cooling_reading", batch=self._recent(self.batches, "B1"), **self._temperature("65", "40", "80"))

    def _move_batch(self) -> None:
        self._put(
            "batch_moved", batch=self._recent(self.batches, "B1"), cold_unit=self.rng.choice(["walk-in", "blast"])
        )

    def _start_reheat(self) -> None:
        batch = self._recent(self.batches, "B1")
        self.reheats.append(f"R{len(self.reheats) + 1}")
        birds = self._take(batch, "1", "2.5", "5")
        self._put_in(self.reheats[-1], birds)
        self._put("reheat_started", batch=batch, birds=birds, reheat=self.reheats[-1])

    def _read_reheat(self) -> None:
        held_s = self.rng.choice([0, 15])
        self._put(
            "reheat_reading", reheat=self._recent(self.reheats, "R1"), held_s=held_s, **self._temperature("166", "150")
        )

    def _finish_reheat(self) -> None:
        reheat = self._recent(self.reheats, "R1")
        tray = self._name(self.trays, "T")
        birds = self._take(reheat, "1", "2.5", "5")
        self._put_in(tray, birds)
        self._put("reheat_done", reheat=reheat, tray=tray, birds=birds)

    def _batch_out(self) -> None:
        batch, to = self._recent(self.batches, "B1"), self.rng.choice(["served_cold", "discarded"])
        self._put("batch_out", batch=batch, birds=self._take(batch, "1", "5"), to=to)

    def _list(self) -> None:
        self._put("checklist")

    def _set_oven(self) -> None:
        self._put("oven_setting", oven=self.rng.choice(["east", "west"]))

    def _check(self) -> None:
        shown = self.rng.choice(["32", "32", "36"])
        self._put("probe_check", probe=self.rng.choice(["blue", "white"]), temperature=shown)

    def _check_unit(self) -> None:
        unit, of = self.rng.choice(["walk-in", "blast", "pass"]), self.rng.choice(["air", "food"])
        shown = {"temperature": self.rng.choice(["38", "44", "150"]), "unit": "F"}
        self._put("unit_check", unit_code=unit, of=of, **shown)

    def _break_oven(self) -> None:
        self._put(self.rng.choice(["equipment_out", "equipment_back"]), code=self.rng.choice(["east", "west", "pass"]))

    def _deliver(self) -> None:
        decision = self.rng.choice(["accepted", "rejected"])
        self._put("receiving", lot=self.rng.choice(["A1", "A2"]), decision=decision)

    def _mend(self) -> None:
        standing = [draft for draft in self.drafts if "withdrawn" not in draft]
        if not standing:
            return
        earlier = self.rng.choice(standing[-5:])
        changed = {name: value for name, value in earlier.items() if name not in ("id", "kind", "observed_at")}
        if "temperature" in changed:
            changed["temperature"] = self.rng.choice(["170", "150", "40"])
        elif "birds" in changed:
            changed["birds"] = self.rng.choice([1, 2, 3])
        seen_at = datetime.fromisoformat(earlier["observed_at"]) + timedelta(
            minutes=self.rng.choice([-9, 0, 0, 9, 600])
        )
        changed |= {"amends": earlier["id"], "amend_reason": "slip of the pen"}
        self.drafts.append(
            cast.draft(earlier["kind"], at=seen_at, id=str(uuid.UUID(int=self.rng.getrandbits(128)))) | changed
        )

    def _withdraw(self) -> None:
        if self.drafts:
            earlier = self.rng.choice(self.drafts[-5:])
            own_id = str(uuid.UUID(int=self.rng.getrandbits(128)))
            self.drafts.append(cast.withdrawal(earlier, at=self.at.astimezone(UTC)) | {"id": own_id})


class ForgetfulDiary(Diary):
    """A diary whose writer comes back to what was long ago, and writes some of it down days later."""

    def _recent(self, names: list[Any], otherwise: Any) -> Any:
        return self.rng.choice(names) if names and self.rng.random() < 0.3 else super()._recent(names, otherwise)

    def _put(self, kind: str, **fields: Any) -> None:
        super()._put(kind, **fields)
        if self.rng.random() < 0.1:
            earlier = timedelta(hours=self.rng.choice([3, 9, 26, 50, 100]))
            late = datetime.fromisoformat(self.drafts[-1]["observed_at"]) - earlier
            self.drafts[-1]["observed_at"] = late.isoformat()
        if self.rng.random() < 0.1:
            self.at += timedelta(hours=12)
