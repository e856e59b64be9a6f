"""Which bird is probed next: on its spit while birds of it are to be probed, then on the next spit that has some."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.rules.day.subjects_shown import LoadView, SpitView
from app.rules.meaning import cooking as meaning


@dataclass(frozen=True, slots=True, kw_only=True)
class Probed:
    """What of a spit was probed: its birds, how many are asked for, and whether each reading met its limit."""

    birds: tuple[int, ...]
    places: tuple[str, ...]
    needed: int
    met: Mapping[tuple[int, str], bool]

    @classmethod
    def of(cls, load: LoadView, spit: SpitView) -> Probed:
        """Give what of a spit was probed; a bird that was thrown away is probed no more."""
        gone = {bird for pull in spit.pulls for bird in pull.discarded_birds}
        every = range(1, spit.birds + 1)
        return cls(
            birds=tuple(bird for bird in every if bird not in gone) or tuple(every),
            places=meaning.places(load),
            needed=spit.birds_needed,
            met={(state.bird, state.place): state.met for state in spit.latest},
        )

    def with_reading(self, bird: int, place: str, *, met: bool) -> Probed:
        """Give the same with one reading more."""
        return replace(self, met={**self.met, (bird, place): met})

    @property
    def is_done(self) -> bool:
        """Whether as many birds as are asked for were probed, each at every place that is asked for."""
        read = [{bird for bird, at in self.met if at == place} for place in self.places]
        return len(set.intersection(*read)) >= self.needed

    def next(self) -> tuple[int, str]:
        """Give the bird and place to be probed next: one not yet probed while some are needed, else a low one."""
        unprobed = [(bird, place) for bird in self.birds for place in self.places if (bird, place) not in self.met]
        low = sorted(at for at, met in self.met.items() if not met and at[0] in self.birds)
        started = [at for at in unprobed if any((at[0], place) in self.met for place in self.places)]
        is_short = len({bird for bird, _place in self.met}) < self.needed
        wanted = [*started, *unprobed, *low] if is_short else [*started, *low, *unprobed]
        return wanted[0] if wanted else (self.birds[0], self.places[0])

    def place_of(self, bird: int) -> str:
        """Give the place of a bird that is not yet read, else one that was low, else the first."""
        return min(self.places, key=lambda place: self.met.get((bird, place), False))


def next_spit(load: LoadView, spit: int) -> int | None:
    """Give the spit that comes after this one once it is probed; None where no other has birds to probe."""
    turning = [one for one in load.spits if one.birds_on and one.spit != spit]
    in_turn = [one for one in turning if one.spit > spit] + [one for one in turning if one.spit < spit]
    return next((one.spit for one in in_turn if not Probed.of(load, one).is_done), None)


def spit_after(load: LoadView, spit: SpitView) -> int:
    """Give the spit to be probed now that this one was: the same while birds of it are to be probed."""
    is_turning = spit.birds_on > 0
    stays = is_turning and not Probed.of(load, spit).is_done
    return spit.spit if stays else next_spit(load, spit.spit) or spit.spit


def following(load: LoadView, spit: SpitView) -> dict[str, tuple[str, str]]:
    """Give what the pad turns to after a reading of each bird and place: of one under the limit, then of one at it.

    "3 breast" is on the same spit, empty stands for the next spit. Nothing where the reading alone does not say
    whether the limit was met: it has to be held there for a time.
    """
    if meaning.dwell_s(load):
        return {}
    now, leads_on = Probed.of(load, spit), next_spit(load, spit.spit) is not None

    def after(bird: int, place: str, *, met: bool) -> str:
        then = now.with_reading(bird, place, met=met)
        return "" if leads_on and then.is_done else "{} {}".format(*then.next())

    at = [(bird, place) for bird in range(1, spit.birds + 1) for place in ("breast", "thigh")]
    return {f"{bird} {place}": (after(bird, place, met=False), after(bird, place, met=True)) for bird, place in at}
