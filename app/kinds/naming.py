"""Which food an entry names, read off the forms of its kind: loads, trays, batches and reheats."""

from .compound import Keys
from .entry import Entry, Subject, Withdrawal, once_an_entry
from .form import FILL, MOVE, OPEN, READ, TAKE, form_of, once_a_kind


@once_a_kind
def named_by(cls: type[Entry]) -> tuple[tuple[str, str], ...]:
    """Give (attribute, kind) of the loads, trays, batches and reheats that entries of a kind may name."""
    return tuple((attribute, name.of) for attribute, name in form_of(cls).named())


@once_a_kind
def names_food(cls: type[Entry]) -> bool:
    """Whether entries of a kind are about a load, tray, batch or reheat."""
    return bool(named_by(cls))


@once_an_entry("_names")
def names_of(entry: Entry) -> tuple[tuple[str, str], ...]:
    """Give (kind, name) of every load, tray, batch and reheat that an entry names; none for a withdrawal."""
    if isinstance(entry, Withdrawal):
        return ()
    return tuple((kind, name) for attribute, kind in named_by(type(entry)) if (name := getattr(entry, attribute)))


@once_a_kind
def needed_by(cls: type[Entry]) -> tuple[str, str] | None:
    """Give (attribute, kind) of the tray, batch or reheat that an entry of a kind reads, moves or takes from."""
    needed = (
        (attribute, name.of)
        for attribute, name in form_of(cls).named()
        if name.role in (READ, MOVE, TAKE) and name.of != "load"
    )
    return next(needed, None)


@once_a_kind
def filled_by(cls: type[Entry]) -> tuple[tuple[str, str], ...]:
    """Give (attribute, kind) of the trays, batches and reheats that an entry of a kind may put birds into."""
    return tuple(
        (attribute, name.of)
        for attribute, name in form_of(cls).named()
        if name.role in (FILL, OPEN) and name.of != "load"
    )


@once_a_kind
def opens(cls: type[Entry]) -> str | None:
    """Give the kind of what an entry of a kind always opens: a load or a reheat."""
    return next((name.of for _attribute, name in form_of(cls).named() if name.role == OPEN), None)


@once_a_kind
def _about(cls: type[Entry]) -> tuple[str, str] | None:
    """Give (attribute, kind of subject): what the kind declares, else the first food that it names."""
    return cls.ABOUT or next(iter(named_by(cls)), None)


def about(entry: Entry) -> Subject | None:
    """Give what an entry is about: the load of a cook reading, the tray of a hold reading; None where it is nothing."""
    found = None if isinstance(entry, Withdrawal) else _about(type(entry))
    return None if found is None else Subject(found[1], str(getattr(entry, found[0])))


@once_a_kind
def keys_of(cls: type[Entry]) -> str | None:
    """Give the attribute in which entries of a kind name findings by their keys; None for a kind that names none."""
    if cls is Withdrawal:
        return None
    return next((one.attribute for one in form_of(cls).declared if isinstance(one.type, Keys)), None)


def answers_findings(cls: type[Entry]) -> bool:
    """Whether entries of a kind are about findings: what was done, and what was thought of that."""
    return keys_of(cls) is not None
