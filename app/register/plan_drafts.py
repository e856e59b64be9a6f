"""The next version of a plan while it is put together: nothing of it holds until somebody adopts it. No record."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app import ledger
from app.models import PlanDraft, Site
from app.rules.plans.adopted_values import Attachment

from .plan_files import forget_files
from .plans import OwnWords


@dataclass(frozen=True, slots=True)
class Draft:
    """What is to change against the version `after`."""

    after: int
    code: str | None = None
    """Another code of law; None: the one in force."""
    settings: Mapping[str, str] = field(default_factory=dict)
    """Setting → as it is typed for `plan --set`."""
    variance: str | None = None
    """The variance that allows what is looser; None: as it was, empty: none any more."""
    own: OwnWords | None = None
    """All that the kitchen wrote itself, once something of it is to change."""
    changed_by: str | None = None
    """The sign-in name of whoever changed it last, and when; None where nothing is about to change."""
    changed_at: datetime | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is to change."""
        return not (self.code or self.settings or self.own) and self.variance is None

    @property
    def fingerprint(self) -> str:
        """Tell this draft from any other: whoever adopts it says that it is the one they saw."""
        return hashlib.sha256(_text(self).encode()).hexdigest()[:16]


def find_draft(session: Session, site: Site) -> Draft:
    """Give what is about to change; an empty draft after the newest version where nothing is."""
    row = session.get(PlanDraft, site.id)
    if row is None:
        return Draft(after=ledger.read_plans(session, site.code)[-1].version)
    changes = json.loads(row.changes)
    return Draft(
        after=row.after,
        code=changes.get("code"),
        settings=changes.get("settings", {}),
        variance=changes.get("variance"),
        own=_own(changes.get("own")),
        changed_by=row.changed_by,
        changed_at=row.changed_at,
    )


def keep_draft(session: Session, site: Site, draft: Draft, *, by: str, at: datetime) -> None:
    """Keep what is about to change, for whoever adopts it."""
    row = session.get(PlanDraft, site.id) or PlanDraft(site_id=site.id)
    row.changes, row.after, row.changed_by, row.changed_at = _text(draft), draft.after, by, at
    session.add(row)
    session.flush()


def forget_draft(session: Session, site: Site) -> None:
    """Let nothing be about to change any more, and forget the files that only the draft named."""
    row = session.get(PlanDraft, site.id)
    if row is not None:
        session.delete(row)
        session.flush()
    plans = ledger.read_plans(session, site.code)
    forget_files(session, site, keep={file.digest for plan in plans for file in plan.attachments})


def drafted_words(session: Session, site: Site, draft: Draft) -> OwnWords:
    """Give what the kitchen wrote itself as the draft has it."""
    return draft.own or OwnWords.of(ledger.read_plans(session, site.code)[-1])


def with_setting(draft: Draft, settings: Mapping[str, str], *, variance: str | None = None) -> Draft:
    """Give the draft with some settings typed anew; a `variance` of None stays as it is."""
    return replace(
        draft,
        settings={**draft.settings, **settings},
        variance=draft.variance if variance is None else variance,
    )


def without(draft: Draft, name: str) -> Draft:
    """Give the draft without one of its changes: a setting, `code`, `variance` or `own`."""
    match name:
        case "code":
            return replace(draft, code=None)
        case "variance":
            return replace(draft, variance=None)
        case "own":
            return replace(draft, own=None)
    return replace(draft, settings={key: text for key, text in draft.settings.items() if key != name})


def _text(draft: Draft) -> str:
    changes: dict[str, Any] = {"code": draft.code, "settings": dict(draft.settings), "variance": draft.variance}
    changes["own"] = draft.own.as_fields() if draft.own else None
    return json.dumps(changes, sort_keys=True, ensure_ascii=False)


def _own(fields: Mapping[str, Any] | None) -> OwnWords | None:
    if fields is None:
        return None
    files = [Attachment.of(digest, one) for digest, one in (fields["attachments"] or {}).items()]
    return OwnWords(fields["items"] or {}, fields["texts"] or {}, files)
