"""The stages of checking after the first, in their order: id, time, names, order, role."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from app.kinds import KINDS, Entry, PlanReassessed, Release, value_of
from app.kinds.compound import Items
from app.kinds.every_entry import FORMS
from app.kinds.fields import Code
from app.kinds.naming import answers_findings
from app.kinds.permissions import Permission, may

from ..appending.context import AppendContext, Known
from ..form import shape
from ..form.drafts import Draft, Former
from ..form.shape import FieldError
from ..index import rows
from . import callers, findings, food, mending, order
from .states import CLOCKS_DIFFER

_CODES: Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    name: tuple((field.name, field.type.kinds) for field in form.all_fields().values() if isinstance(field.type, Code))
    for name, form in FORMS.items()
}
_ITEMS: Mapping[str, tuple[str, Items]] = {
    name: (field.name, field.type)
    for name, form in FORMS.items()
    for field in form.fields
    if isinstance(field.type, Items)
}


def check_time(context: AppendContext, draft: Draft) -> list[FieldError]:
    """Refuse what was seen or saved in the future."""
    entry = draft.entry
    moments = (("observed_at", entry.observed_at), ("entered_at", entry.entered_at))
    latest = context.at + CLOCKS_DIFFER
    return [FieldError(name, "future", {}) for name, at in moments if at is not None and at > latest]


def check_names(context: AppendContext, draft: Draft) -> list[FieldError]:
    """Refuse what names something that is not there: equipment, an entry to mend, a finding, an item of the plan."""
    entry = draft.entry
    amended = context.known.get(entry.amends) if entry.amends else None
    before = amended.body if amended else {}
    errors = [FieldError("amends", "unknown", {})] if entry.amends is not None and amended is None else []
    errors += [
        FieldError(name, "unknown", {"value": shape.echo(code)})
        for name, code_kinds in _CODES[entry.kind]
        if (code := value_of(entry, name)) is not None
        and code != before.get(name)  # what was in use then may be gone when a slip of the pen is mended
        and not _is_listed(context, code, code_kinds)
    ]
    if entry.kind in _ITEMS and not entry.withdrawn:
        errors += _check_items(context, entry, before)
    if answers_findings(type(entry)):
        new = (key for key in value_of(entry, "findings") if key not in before.get("findings", ()))
        unknown = [key for key in new if not _is_known(context, entry, key)]
        errors += [FieldError("findings", "unknown", {"value": shape.echo(key)}) for key in unknown[:1]]
    if isinstance(entry, PlanReassessed):
        errors += _check_reassessment(context, entry)
    return errors


def _check_reassessment(context: AppendContext, entry: PlanReassessed) -> list[FieldError]:
    """Refuse a version of the plan that nobody adopted, and a finding that there is not."""
    errors = []
    if all(plan.version != entry.version for plan in context.calendar.plans):
        errors.append(FieldError("version", "unknown", {"value": entry.version}))
    if entry.finding is not None and not findings.is_known(context, entry.finding, at=entry.observed_at):
        errors.append(FieldError("finding", "unknown", {"value": shape.echo(entry.finding)}))
    return errors


def _is_known(context: AppendContext, entry: Entry, key: str) -> bool:
    """Whether there is what a key names. Of a release only the opener must be there; the rest is asked by its order."""
    if isinstance(entry, Release):
        return findings.has_opener(context, key)
    return findings.is_known(context, key, at=entry.observed_at)


def _is_listed(context: AppendContext, code: str, code_kinds: Sequence[str]) -> bool:
    kind = context.listed.get(code)
    return kind is not None and (not code_kinds or kind in code_kinds)


def _check_items(context: AppendContext, entry: Entry, before: Mapping[str, Any]) -> list[FieldError]:
    name, type_ = _ITEMS[entry.kind]
    plan = context.plan_at(entry.observed_at)
    # The start checks are the items that every client is told of: they may stand on the other lists, too.
    listed = {*plan.items("start_checks"), *plan.items(type_.plan_lists[value_of(entry, "list") or ""])}
    unknown = [item for item in value_of(entry, name) if item not in listed and item not in before.get(name, ())]
    return [FieldError(name, "unknown", {"value": shape.echo(item)}) for item in unknown[:1]]


def check_order(context: AppendContext, draft: Draft) -> list[FieldError]:
    """Refuse what cannot have happened in this order."""
    if draft.entry.amends is not None:
        return _check_mending(context, draft, context.known[draft.entry.amends])
    return food.check(context, draft.entry) or order.check(draft.entry, draft.named, context.states, at=draft.at)


def _check_mending(context: AppendContext, draft: Draft, amended: Known) -> list[FieldError]:
    entry, versions = draft.entry, context.versions_of(amended)
    newest = versions[-1]
    kind = KINDS[str(amended.body["kind"])]
    if not (kind.WITHDRAWABLE if entry.withdrawn else kind.AMENDABLE):
        return [_refused("only_withdrawn" if kind.WITHDRAWABLE else "not_mended")]
    if "withdrawn" in newest.body:
        return [_refused("withdrawn")]
    if newest.seq != amended.seq:
        return [_refused("not_newest", (newest.id,))]
    if amended.body["kind"] != entry.kind:
        return [_refused("other_kind")]
    said = food.check(context, entry)
    if said:
        return said
    draft.entry = replace(entry, root_seq=amended.root_seq, root=versions[0].id)
    draft.former = [Former.of(version.entry(entry.root)) for version in versions]
    states = context.whole_states(mention for mention in (*draft.former[-1].named, *draft.named) if mention.role)
    errors, dependents = mending.check(mending.Mending(draft, states))
    if dependents:
        errors = [error for error in errors if error.field != "amends"]
        errors.append(_refused("dependents", rows.ids_of(context.connection, context.site.id, dependents)))
    return errors


def _refused(why: str, dependents: Sequence[str] = ()) -> FieldError:
    return order.refusal("amends", why, dependents=tuple(dependents))


def check_role(context: AppendContext, draft: Draft) -> list[FieldError]:
    """Refuse what is not this caller's to write."""
    entry, by = draft.entry, context.by
    errors = []
    person = context.people.get(entry.person) if by.is_tablet else None
    if by.is_tablet:
        if not callers.can_write(person):
            return [FieldError("person", "forbidden", {"value": entry.person})]
    else:
        if entry.person != by.login:
            errors.append(FieldError("person", "forbidden", {"value": entry.person}))
        if entry.entered_at is not None:
            errors.append(FieldError("entered_at", "forbidden", {}))
    role = person.role if person else by.role
    if not callers.may_write(entry.kind, role, by.known_by):
        errors.append(FieldError("kind", "forbidden", {"value": entry.kind}))
    if entry.amends and not may(role, Permission.MEND_ENTRY, by.known_by):
        errors.append(FieldError("amends", "forbidden", {}))
    return errors


Check = Callable[[AppendContext, Draft], list[FieldError]]

STAGES: tuple[Check, ...] = (
    check_time,
    check_names,
    check_order,
    check_role,
)
"""What comes after the shape of a draft and its id."""

UNNAMED = STAGES[:-1]
"""What is asked of a draft before anybody said whose it is."""
