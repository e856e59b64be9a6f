"""A site's own phrases for corrective actions. No record: an entry holds the words that were chosen, not the list."""

from collections.abc import Mapping, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.models import Phrases, Site

from .refused import Refused, checked_line

PARTS = ("cause", "action", "prevention")
_LONGEST, _MOST = 100, 8


def find_phrases(session: Session, site: Site) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Give the phrases that a site set itself: rule → part → phrases."""
    rows = session.scalars(select(Phrases).where(Phrases.site_id == site.id))
    return {row.rule: {part: tuple(getattr(row, part).splitlines()) for part in PARTS} for row in rows}


def set_phrases(session: Session, site: Site, rule: str, phrases: Mapping[str, Sequence[str]]) -> None:
    """Set all phrases of a rule. Raises Refused at the part (type: too many; range: too long)."""
    checked = {part: _checked(part, phrases[part]) for part in PARTS}
    row = session.get(Phrases, (site.id, rule)) or Phrases(site_id=site.id, rule=rule)
    for part, lines in checked.items():
        setattr(row, part, "\n".join(lines))
    session.add(row)


def forget_phrases(session: Session, site: Site, rule: str) -> None:
    """Go back to the usual phrases of a rule."""
    row = session.get(Phrases, (site.id, rule))
    if row is not None:
        session.delete(row)


def _checked(part: str, phrases: Sequence[str]) -> list[str]:
    lines = [checked_line(part, phrase, longest=_LONGEST) for phrase in phrases if phrase.strip()]
    if len(lines) > _MOST:
        raise Refused(part, "type", expected="at most eight phrases, one a line")
    return list(dict.fromkeys(lines))
