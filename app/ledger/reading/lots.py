"""Finding lots by what somebody remembers of them: a part of the lot or of its supplier, whatever the case."""

from collections.abc import Iterator, Set
from unicodedata import normalize

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from app.db import Prepared
from app.kinds import Receiving

from .. import register
from ..index import rows
from ..index.rows import INDEX, INDEX_OF_SITE
from .gathering import Gathering

OF_LOTS = ("delivery", "lot", "raw")
"""Kinds of subjects in the index whose name is a lot."""

_NAMES = Prepared(
    select(INDEX.subject)
    .where(INDEX_OF_SITE, INDEX.subject >= bindparam("first"), INDEX.subject < bindparam("last"))
    .distinct()
)


def find_lots(found: Gathering, term: str) -> set[str]:
    """Give the lots that have this name, else those of a supplier of this name, else those with it in either name."""
    wanted, lots = _folded(term), _all_lots(found)
    suppliers = list(_suppliers(found, lots))
    exact = {lot for lot in lots if _folded(lot) == wanted}
    exact = exact or {lot for lot, supplier in suppliers if _folded(supplier) == wanted}
    by_part = {lot for lot in lots if wanted in _folded(lot)}
    return exact or by_part | {lot for lot, supplier in suppliers if wanted in _folded(supplier)}


def as_delivered(session: Session, code: str, typed: str) -> str:
    """Give the lot as its delivery spells it, where one alone differs from the typed name in nothing but the case."""
    row = register.get_site_row(session, code)
    found = Gathering(session, row.id, through_seq=rows.head(session, row).seq)
    lots = _lots_of(found, "delivery")
    same = {lot for lot in lots if _folded(lot) == _folded(typed)}
    return same.pop() if len(same) == 1 else typed


def _folded(name: str) -> str:
    return normalize("NFC", name).casefold()


def _all_lots(found: Gathering) -> set[str]:
    return {lot for kind in OF_LOTS for lot in _lots_of(found, kind)}


def _lots_of(found: Gathering, kind: str) -> set[str]:
    found_names = _NAMES.run(found.connection, site_id=found.site_id, first=f"{kind}:", last=f"{kind};")
    return {row[0].partition(":")[2] for row in found_names}


def _suppliers(found: Gathering, lots: Set[str]) -> Iterator[tuple[str, str]]:
    entries = found.about([f"delivery:{lot}" for lot in lots])
    return ((entry.lot, entry.supplier) for entry in entries if isinstance(entry, Receiving))
