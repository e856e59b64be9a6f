"""Who writes, and what each may write."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.kinds import KINDS
from app.rules.facts import Person

_REVIEW = frozenset(("action_verified", "in_charge_from"))
_SIGNED = frozenset(("sign_off",))

KINDS_OF: Mapping[str, frozenset[str]] = {
    "cook": frozenset(KINDS) - _REVIEW - _SIGNED,
    "in_charge": frozenset(KINDS) - _SIGNED,
    "inspector": frozenset(),
}
"""What each role may post. A sign-off is never posted: it needs the signer present."""

NOT_FROM_TABLETS = frozenset(("action_verified",))
"""A verification needs its author's own sign-in, which a tablet cannot show."""


@dataclass(frozen=True, slots=True)
class Caller:
    """Who writes, and by what: `via` is session, tablet:CODE or token:N.

    A tablet's own credential has no login: each of its entries names its person. `clock_offset_s` is what must be added
    to the tablet's clock to get the server's, where the tablet said what its clock shows. `signing` is true where the
    password was just given again.
    """

    login: str
    name: str
    role: str
    via: str
    signing: bool = False
    clock_offset_s: float | None = None

    @property
    def is_tablet(self) -> bool:
        """Whether this is an enrolled tablet, which may name the person and when an entry was saved on it."""
        return self.via.startswith("tablet:")


def can_write(person: Person | None) -> bool:
    """Whether a tablet may write in somebody's name: a cook or person in charge of the site who is still there."""
    return person is not None and person.retired_at is None and person.role in ("cook", "in_charge")


def may_write(kind: str, role: str, *, on_tablet: bool) -> bool:
    """Whether somebody of this role may post entries of this kind."""
    return kind in KINDS_OF.get(role, frozenset()) and not (on_tablet and kind in NOT_FROM_TABLETS)
