"""A plan as it is printed: adopted from a code of law with what a kitchen set and wrote itself."""

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from app.kinds import PlanReassessed
from app.logs.plan import PlanRecord
from app.register.plans import values_written
from app.rules.plans.adopted_values import TEXTS, Attachment, as_text
from app.rules.plans.plan import Adopted
from app.rules.plans.reassessment import reassessment
from tests.support import cast

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
OWN_TEXTS = {part: f"Own words on {part.replace('_', ' ')}: written by Kitchen S1." for part in TEXTS}
LETTER = Attachment(hashlib.sha256(b"letter").hexdigest(), "validation", "letter.pdf", "application/pdf", 52_000)


def adopted(
    code: str = "us_food_code_2022",
    version: int = 1,
    at: datetime = cast.OPENED,
    *,
    variance: str | None = None,
    texts: Mapping[str, str] = OWN_TEXTS,
    attachments: tuple[Attachment, ...] = (LETTER,),
    **settings: str,
) -> Adopted:
    """Give a version as its entry in the ledger says it, with every value written out."""
    bare = Adopted(version, code, tuple(sorted(settings.items())), "pat", at, variance=variance)
    values, loosened = values_written(bare, on=at.date())
    return replace(
        bare,
        values=as_text(values),
        loosened=tuple(loosened),
        texts=tuple(sorted(texts.items())),
        attachments=attachments,
    )


def look(**fields: Any) -> PlanReassessed:
    """Give a look at the plan as a whole."""
    entry = cast.entry("plan_reassessed", at="12:00", person="sam", **fields)
    assert isinstance(entry, PlanReassessed)
    return entry


def record(*plans: Adopted, looks: tuple[PlanReassessed, ...] = (), as_of: datetime = NOW) -> PlanRecord:
    """Give what the document of the newest of these versions is made from."""
    site = replace(
        cast.site_facts(), people=cast.PEOPLE, equipment=cast.EQUIPMENT, address="12 Elm Street", permit="R-77"
    )
    versions = plans or (adopted(),)
    asked = reassessment(versions, looks, list(site.equipment.values()), as_of=as_of)
    return PlanRecord(site=site, plans=versions, looks=looks, reassessment=asked)
