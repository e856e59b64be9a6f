"""Who writes, and what each may write."""

from dataclasses import dataclass

from app.kinds import KINDS
from app.kinds.permissions import KnownBy, Permission, may, writing
from app.rules.facts import Person

_SIGNED = frozenset(name for name, kind in KINDS.items() if kind.IS_SIGNATURE)
"""Never posted: it needs the signer present."""

_KNOWN_BY = {"session": KnownBy.PASSWORD, "tablet": KnownBy.TABLET, "token": KnownBy.TOKEN}


@dataclass(frozen=True, slots=True)
class Caller:
    """Who writes, and by what: `via` is session, tablet:CODE or token:N.

    A tablet's own credential has no login: each of its entries names its person. `clock_offset_s` is what must be added
    to the tablet's clock to get the server's, where the tablet said what its clock shows. `signing` is true where the
    password was just given again, `pin_again` where the PIN was, on a tablet's page. `identified` is what showed who is
    at that page: pin or recent.
    """

    login: str
    name: str
    role: str
    via: str
    signing: bool = False
    pin_again: bool = False
    identified: str | None = None
    clock_offset_s: float | None = None

    @property
    def is_tablet(self) -> bool:
        """Whether this is an enrolled tablet, which may name the person and when an entry was saved on it."""
        return self.known_by is KnownBy.TABLET

    @property
    def known_by(self) -> KnownBy:
        """What shows who writes. A PIN typed a while ago counts as its tablet: the entry says no more."""
        return KnownBy.PIN_AGAIN if self.pin_again else _KNOWN_BY[self.via.partition(":")[0]]


def can_write(person: Person | None) -> bool:
    """Whether a tablet may write in somebody's name: of the site, still there, whose role writes."""
    if person is None or person.retired_at is not None:
        return False
    return may(person.role, Permission.RECORD_KITCHEN_ENTRY, KnownBy.TABLET)


def may_write(kind: str, role: str, known_by: KnownBy) -> bool:
    """Whether somebody of this role may post entries of this kind."""
    return kind not in _SIGNED and may(role, writing(kind), known_by)
