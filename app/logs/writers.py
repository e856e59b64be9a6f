"""Who wrote an entry and its number, in the few letters that a paper log has room for."""

from collections import Counter
from collections.abc import Iterable, Mapping

from app import words
from app.kinds import Entry


class Writers:
    """The initials of everybody who wrote entries of a log. Two people never share them."""

    def __init__(self, entries: Iterable[Entry], names: Mapping[str, str]) -> None:
        self._names = names
        self._initials: dict[str, str] = {}
        for entry in entries:
            if entry.person and entry.person not in self._initials:
                self._initials[entry.person] = self._unused(_initials(names.get(entry.person, entry.person)))

    def short(self, entry: Entry) -> str:
        """Give who wrote an entry and through what: `CC·A` is Casey Cook at tablet A, `CC` Casey Cook signed in.

        `CC·A*`: the name alone was tapped there, minutes after the PIN.
        """
        kind, _colon, name = entry.via.partition(":")
        # A dot, since a line is broken after a stroke.
        device = {"tablet": f"·{name}", "token": f"·t{name}"}.get(kind, "")
        initials = self._initials.get(entry.person)
        star = "*" if entry.identified == "recent" else ""
        return words.via_word(entry.via) if initials is None else f"{initials}{device}{star}"

    def legend(self) -> str:
        """Say whose initials they are: `CC Casey Cook, PP Pat Porter`; empty where nobody wrote."""
        said = (f"{short} {self._names.get(login, login)}" for login, short in self._initials.items())
        return ", ".join(said)

    def _unused(self, initials: str) -> str:
        taken, number, found = set(self._initials.values()), 2, initials
        while found in taken:
            found, number = f"{initials}{number}", number + 1
        return found


def _initials(name: str) -> str:
    return "".join(word[0] for word in name.split()).upper()


_THOUSAND, _LONG = 1000, 10_000
"""Of a number from `_LONG` on, what comes before the last three digits is said once on a log."""


class Numbers:
    """The numbers of a log's entries: of long ones in the thousand that most of them share, the last three digits."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        seqs = [entry.seq for entry in entries]
        counted = Counter(seq // _THOUSAND for seq in seqs if seq >= _LONG)
        is_clear = all(not 0 <= seq < _THOUSAND for seq in seqs)  # three digits alone are of a long number
        self._thousand = counted.most_common(1)[0][0] if counted and is_clear else None

    @property
    def begin_with(self) -> str:
        """Give the digits that are left out; empty where every number stands in full."""
        return "" if self._thousand is None else str(self._thousand)

    def short(self, seq: int) -> str:
        """Give a number: `014` for 150014 on a log whose numbers begin with 150, else in full."""
        thousand, rest = divmod(seq, _THOUSAND)
        return f"{rest:03d}" if thousand == self._thousand else str(seq)
