"""Days of a kitchen at random: most of what is written down is in order, some is not, and some is mended."""

import random
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from tests import cast

START = cast.moment("07:00")
DAYS = 3


class Diary:
    """Writes entries at random; what the ledger refuses of it stays refused."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.at = START
        self.drafts: list[dict[str, Any]] = []
        self.spits: list[tuple[str, int]] = []
        self.trays: list[str] = []
        self.batches: list[str] = []
        self.reheats: list[str] = []

    def write(self, entries: int) -> list[dict[str, Any]]:
        """Give so many drafts, in the order in which they are written down."""
        jobs = [self._load, self._read, *[self._pull] * 5, self._hold, self._hold, *[self._out] * 4]
        jobs += [self._cool, self._start_reheat, self._finish_reheat, self._batch_out, self._check, self._check_unit]
        jobs += [self._mend, self._withdraw, self._break_oven, self._deliver, self._control, self._move]
        while len(self.drafts) < entries:
            self.at += timedelta(minutes=self.rng.choice([1, 5, 20, 45, 120]))
            if self.rng.random() < 0.03:
                self.at += timedelta(hours=8)
            self.rng.choice(jobs)()
        return self.drafts

    def _put(self, kind: str, **fields: Any) -> None:
        # Some things are written down later than they were seen.
        earlier = timedelta(minutes=self.rng.choice([0] * 17 + [1, 30, 240]) if kind != "spit_loaded" else 0)
        own_id = str(uuid.UUID(int=self.rng.getrandbits(128)))
        self.drafts.append(cast.draft(kind, at=self.at - earlier, id=own_id, **fields))

    def _name(self, names: list[str], prefix: str) -> str:
        """Give a name: a new one, or one that is there."""
        if not names or self.rng.random() < 0.8:
            names.append(f"{prefix}{len(names) + 1}")
            return names[-1]
        return self.rng.choice(names[-3:])

    def _recent(self, names: list[Any], otherwise: Any) -> Any:
        return self.rng.choice(names[-5:]) if names else otherwise

    def _temperature(self, *choices: str) -> dict[str, Any]:
        return {"temperature": self.rng.choice(choices), "unit": "F", "probe": self.rng.choice(["blue", "white"])}

    def _load(self) -> None:
        name = f"L{1 + len({load for load, _spit in self.spits})}"
        checks = {"water": True, "grease": self.rng.random() < 0.9, "birds": None}
        self._put("load_started", load=name, oven=self.rng.choice(["east", "west"]), checks=checks)
        for spit in range(1, self.rng.randint(2, 4)):
            self.spits.append((name, spit))
            ties = {"ties": 5} if self.rng.random() < 0.3 else {}
            self._put("spit_loaded", load=name, spit=spit, birds=5, lot=self.rng.choice(["A1", "A2"]), **ties)

    def _read(self) -> None:
        load, spit = self._recent(self.spits, ("L1", 1))
        self._put("cook_reading", load=load, spit=spit, bird=self.rng.randint(1, 5), **self._temperature("170", "160"))

    def _pull(self) -> None:
        load, spit = self._recent(self.spits, ("L1", 1))
        tray = self._name(self.trays, "T")
        birds = self.rng.choice([5, 5, 2])
        self._put("spit_pulled", load=load, spit=spit, tray=tray, birds=birds, hot_unit="pass", ties_removed=birds)

    def _hold(self) -> None:
        self._put("hold_reading", tray=self._recent(self.trays, "T1"), **self._temperature("150", "130"))

    def _move(self) -> None:
        self._put("tray_moved", tray=self._recent(self.trays, "T1"), hot_unit=self.rng.choice(["pass", "cabinet"]))

    def _control(self) -> None:
        self._put("time_control_started", tray=self._recent(self.trays, "T1"))

    def _out(self) -> None:
        to = self.rng.choice(["served", "served", "discarded", "chilled", "reheated", "other_tray", "returned_to_oven"])
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
        birds = self.rng.choice([1, 2, 5])
        self._put("tray_out", tray=self._recent(self.trays, "T1"), birds=birds, to=to, **more)

    def _cool(self) -> None:
        self._put("cooling_reading", batch=self._recent(self.batches, "B1"), **self._temperature("65", "40", "80"))

    def _start_reheat(self) -> None:
        self.reheats.append(f"R{len(self.reheats) + 1}")
        birds = self.rng.choice(["1", "2.5", "5"])
        self._put("reheat_started", batch=self._recent(self.batches, "B1"), birds=birds, reheat=self.reheats[-1])

    def _finish_reheat(self) -> None:
        reheat, tray = self._recent(self.reheats, "R1"), self._name(self.trays, "T")
        self._put("reheat_reading", reheat=reheat, held_s=self.rng.choice([0, 15]), **self._temperature("166", "150"))
        self._put("reheat_done", reheat=reheat, tray=tray, birds=self.rng.choice(["1", "2.5", "5"]))

    def _batch_out(self) -> None:
        birds, to = self.rng.choice(["1", "5"]), self.rng.choice(["served_cold", "discarded"])
        self._put("batch_out", batch=self._recent(self.batches, "B1"), birds=birds, to=to)

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
        earlier = self._recent([draft for draft in self.drafts if "withdrawn" not in draft], None)
        if earlier is None:
            return
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
        earlier = self._recent(self.drafts, None)
        if earlier is not None:
            own_id = str(uuid.UUID(int=self.rng.getrandbits(128)))
            self.drafts.append(cast.withdrawal(earlier, at=self.at.astimezone(UTC)) | {"id": own_id})
