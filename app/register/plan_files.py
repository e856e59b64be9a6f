"""Files that belong to a plan: studies, letters, pictures. The ledger's entry holds their digest, a table the bytes."""

import hashlib
from collections.abc import Collection
from datetime import datetime
from pathlib import PurePath

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.models import PlanFile, Site
from app.rules.plans.adopted_values import Attachment

from .refused import Refused

LARGEST_FILE = 10 * 1024 * 1024
"""Bytes."""
_LONGEST_NAME = 120


def keep_file(
    session: Session, site: Site, content: bytes, *, media_type: str, name: str, part: str, at: datetime
) -> Attachment:
    """Keep a file for a part of the plan. The same bytes are kept once.

    `media_type` is what somebody found it to be who opened it. Raises Refused (file: missing, large).
    """
    if not content:
        raise Refused("file", "missing")
    if len(content) > LARGEST_FILE:
        raise Refused("file", "large")
    digest = hashlib.sha256(content).hexdigest()
    if session.get(PlanFile, (site.id, digest)) is None:
        session.add(PlanFile(site_id=site.id, digest=digest, content=content, added_at=at))
        session.flush()
    return Attachment(digest, part, _shown_name(name), media_type, len(content))


def find_file(session: Session, site: Site, digest: str) -> bytes | None:
    """Give the bytes of a file; None where there is none, or where they are no longer those of the digest."""
    found = session.get(PlanFile, (site.id, digest))
    if found is None or hashlib.sha256(found.content).hexdigest() != digest:
        return None
    return found.content


def forget_files(session: Session, site: Site, *, keep: Collection[str]) -> None:
    """Forget the files that no version and no draft of the plan names; `keep` are the digests that one does."""
    kept = session.scalars(select(PlanFile.digest).where(PlanFile.site_id == site.id)).all()
    gone = [digest for digest in kept if digest not in keep]
    session.execute(delete(PlanFile).where(PlanFile.site_id == site.id, PlanFile.digest.in_(gone)))


def _shown_name(name: str) -> str:
    """Give a file's name without its folders and without what no line of text may have."""
    plain = "".join(letter for letter in PurePath(name.replace("\\", "/")).name if letter.isprintable()).strip()
    return plain[-_LONGEST_NAME:] or "file"
