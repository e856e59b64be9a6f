"""Keeping what was only worked out of the records: where nothing can be written, it is shown all the same."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import SQLAlchemyError

from .outages import outage_of

PATIENCE_S = 2
"""For so long another writer is waited for: whoever reads does not wait as an entry does."""

_log = logging.getLogger(__name__)


@contextmanager
def unless_away(what: str) -> Iterator[None]:
    """Go on where the database takes nothing now. Nothing is lost with `what`: the next reader works it out again."""
    try:
        yield
    except SQLAlchemyError as error:
        outage = outage_of(error)
        if outage is None:
            raise
        _log.warning("%s: not kept, as nothing can be written (%s)", what, outage)
