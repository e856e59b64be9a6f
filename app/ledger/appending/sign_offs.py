"""What signing a day and signing a week have in common: who may, over which head, and the entry itself."""

import uuid
from typing import Any

from sqlalchemy import select

from app.db import milliseconds
from app.kinds.permissions import Permission, may
from app.kinds.values import instant_text

from ..form.drafts import Draft
from ..form.shape import FieldError
from ..form.typed import new_entry
from ..index.rows import ENTRY
from ..index.subjects import mentions
from . import keeping
from .append import Result
from .context import AppendContext

_NAMESPACES = {
    "sign_off": uuid.UUID("6f1cbd0a-5d0e-4d5c-9f0b-0f6e3a1c7d52"),
    "week_sign_off": uuid.UUID("0f0f6f0e-6d2c-4c1e-9a67-6a1f3c1a7b94"),
}
"""Of our own: ids of sign-offs are made from the place in the chain that they take."""


def who_may_not(context: AppendContext, kind: str) -> FieldError | None:
    """Give why whoever asks may not sign; None for somebody in charge who just gave the password."""
    by = context.by
    is_right = by.signing and may(by.role, Permission.SIGN_DAY, by.known_by)
    return None if is_right else FieldError("kind", "forbidden", {"value": kind})


def is_of_this_ledger(context: AppendContext, shown: tuple[int, str]) -> bool:
    """Whether this ledger has, or is about to have, the head that was shown."""
    seq, own_hash = shown
    if seq == context.seq:
        return own_hash == context.hash
    query = select(ENTRY.hash).where(ENTRY.site_id == context.site.id, ENTRY.seq == seq)
    return context.connection.execute(query).scalar() == own_hash


def keep_sign_off(context: AppendContext, kind: str, shown: tuple[int, str], **own: Any) -> Result:
    """Keep a sign-off over the head that was shown; `own` are the fields that one kind has and the other has not."""
    fields: dict[str, Any] = {
        "id": str(uuid.uuid5(_NAMESPACES[kind], f"{context.site.code} {context.seq + 1} {context.hash}")),
        "kind": kind,
        "observed_at": instant_text(context.at),
        "person": context.by.login,
        **own,
        "signer_name": context.by.name,
        "covers_seq": shown[0],
        "covers_hash": shown[1],
        "as_of": instant_text(context.at),
    }
    entry = new_entry(fields, via=context.by.via)
    draft = Draft(fields, entry, milliseconds(context.at), mentions(entry))
    keeping.keep(context, draft)
    context.flush()
    return Result(draft.entry.id, "accepted", draft.entry.seq)
