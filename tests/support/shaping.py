"""Drafts of one kind held against its form: what is kept of them, and the errors at their fields."""

from typing import Any

from app.ledger.form import shape
from tests.support import cast

AT = "12:00"


def errors_of(draft: object) -> set[tuple[str, str]]:
    """Give the errors in the form of a draft, of a site whose altitude is not known."""
    shaped = shape.check(draft)
    place = {("pressure_hpa", "missing")} if shaped.needs_altitude else set()
    return {(error.field, error.code) for error in shaped.errors} | place


def kept(kind: str, **fields: Any) -> dict[str, Any]:
    shaped = shape.check(cast.draft(kind, at=AT, **fields))
    assert shaped.errors == ()
    return shaped.fields


def wrong(kind: str, **fields: Any) -> set[tuple[str, str]]:
    return errors_of(cast.draft(kind, at=AT, **fields))
