"""Finding lots by what somebody remembers of them: a part of the lot or of its supplier, whatever the case."""

from collections.abc import Iterator, Set
from unicodedata import normalize

from sqlalchemy import bindparam, select

from app.db import Prepared
from app.kinds import Receiving

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


def _folded(name: str) -> str:
    return normalize("NFC", name).casefold()


def _all_lots(found: Gathering) -> set[str]:
    lots: set[str] = set()
    for kind in OF_LOTS:
        rows = _NAMES.run(found.connection, site_id=found.site_id, first=f"{kind}:", last=f"{kind};")
        lots |= {row[0].partition(":")[2] for row in rows}
    return lots


def _suppliers(found: Gathering, lots: Set[str]) -> Iterator[tuple[str, str]]:
    entries = found.about([f"delivery:{lot}" for lot in lots])
    return ((entry.lot, entry.supplier) for entry in entries if isinstance(entry, Receiving))
