"""Shared pieces of the forms: the one-use key, when something was seen, errors at fields, keeping an entry."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid4, uuid5
from zoneinfo import ZoneInfo

from flask import flash
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import (
    HiddenField,
    RadioField,
    SelectMultipleField,
    StringField,
    TextAreaField,
    widgets,
)

from app import clock, ledger, words
from app.kinds import Entry
from app.kinds.permissions import Permission, writing
from app.ledger import FieldError
from app.server.site_lock import writing_to

from ..signin import identity, saver
from .page_form import PageForm

Draft = dict[str, Any]
_YEARS = range(1970, 3000)


class EntryForm(PageForm):
    """A form that becomes an entry (or several that belong together)."""

    entry_id = HiddenField(default=lambda: str(uuid4()))
    """The one-use key and the entry's id: however often the form is sent, it makes one record."""
    seen_at = HiddenField()
    """The instant in UTC, once it is fixed: a form that is sent a second time keeps the time of the first."""
    observed_at = StringField(_l("Seen at"))
    observed_fold = RadioField(
        _l("This hour came twice that night. Which one?"),
        choices=lambda: {"0": _("the first, before the clocks went back"), "1": _("the second")},
        validate_choice=False,
    )
    note = TextAreaField(_l("Remark"))
    refusals: Sequence[FieldError] = ()
    """What the ledger refused, for pages that say more about it than one sentence."""

    def draft(self, kind: str, index: int = 0, **fields: object) -> Draft:
        """Give the entry as the ledger takes it; what is empty is left out. `index` counts entries of one form."""
        draft: Draft = {"id": self._id(index), "kind": kind, **{name: kept(value) for name, value in fields.items()}}
        if index == 0:
            draft["note"] = kept(self.note.data)
        return {name: value for name, value in draft.items() if value is not None}

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field that shows an error of the form's `index`th entry; forms with several entries say more."""
        return name

    def asks_which_hour(self) -> bool:
        """Whether the time that was typed came twice."""
        local = _local(self.observed_at.data or "")
        return local is not None and _is_twice(local, identity.current().site.timezone)

    def seen(self, now: datetime) -> datetime | None:
        """Give the instant that is meant; None where it cannot be told, with the error at its field."""
        at, wrong = self._seen(now)
        if wrong is not None:
            self.refuse(*wrong)
        return at

    def seen_or_now(self, now: datetime) -> datetime:
        """Give the instant that is meant, for what is only shown; now where it cannot be told."""
        return self._seen(now)[0] or now

    def _seen(self, now: datetime) -> tuple[datetime | None, tuple[str, str] | None]:
        """Give the instant that is meant, else the field that is wrong and why."""
        if not self.observed_at.data:
            return _instant(self.seen_at.data) or now, None
        zone, local = identity.current().site.timezone, _local(self.observed_at.data)
        if local is None:
            return None, ("observed_at", _("This is not a date and time. Write it like this: 2026-04-14 10:31."))
        if _is_skipped(local, zone):
            skipped = _("The clocks went forward that night: this time did not come. Give another.")
            return None, ("observed_at", skipped)
        if _is_twice(local, zone) and self.observed_fold.data not in ("0", "1"):
            twice = _("The clocks went back that night, so this time came twice. Say which.")
            return None, ("observed_fold", twice)
        return _in_zone(local, zone, fold=int(self.observed_fold.data == "1")), None

    def _id(self, index: int) -> str:
        key = self.entry_id.data or ""
        if index == 0:
            return key
        try:
            return str(uuid5(UUID(key), str(index)))
        except ValueError:
            return key  # not a UUID: the ledger says so, once


def ticks(label: str, choices: Mapping[str, str] | None = None, **more: Any) -> SelectMultipleField:
    """Give a field of boxes to tick, any number of them."""
    box, of_all = widgets.CheckboxInput(), widgets.ListWidget(prefix_label=False)
    return SelectMultipleField(
        label, choices=dict(choices or {}), validate_choice=False, widget=of_all, option_widget=box, **more
    )


def kept(value: object) -> object:
    """Give a form's value as the ledger takes it: blanks trimmed, nothing for empty."""
    if isinstance(value, str):
        return value.strip() or None
    return value


def measured(text: str | None) -> str | None:
    """Give a typed number as the ledger reads it: a decimal comma is a point, a typographic minus a minus."""
    cleaned = (text or "").strip().replace(",", ".").replace("\N{MINUS SIGN}", "-").removeprefix("+")
    return f"0{cleaned}" if cleaned.startswith(".") else cleaned.removesuffix(".") or None


def count(text: str | None) -> int | str | None:
    """Give a typed count as a whole number; what is not one stays as typed, for the ledger to refuse at its field."""
    cleaned = (text or "").strip()
    return int(cleaned) if cleaned.isascii() and cleaned.isdigit() and len(cleaned) < 10 else cleaned or None


def quarters(text: str | None) -> int | str | None:
    """Give a typed number of birds; halves and quarters may be typed as ½ or 2½."""
    cleaned = measured(text)
    for sign, part in (("¼", "25"), ("½", "5"), ("¾", "75")):
        if cleaned and cleaned.endswith(sign):
            cleaned = f"{cleaned.removesuffix(sign).strip() or '0'}.{part}"
    return cleaned if cleaned and not cleaned.isdigit() else count(cleaned)


def instant_text(at: datetime) -> str:
    """Give an instant as the ledger takes it: UTC with milliseconds."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def local_text(at: datetime, zone: ZoneInfo) -> str:
    """Give an instant as a date-and-time input shows it."""
    return at.astimezone(zone).strftime("%Y-%m-%dT%H:%M")


def local_instant(text: str, zone: ZoneInfo) -> datetime | None:
    """Give a typed local date and time as an instant in UTC; None where it is none. Of two the first is meant."""
    local = _local(text)
    return _in_zone(local, zone, fold=0) if local is not None else None


def recorded(form: EntryForm, drafts: Sequence[Draft]) -> bool:
    """Keep the entries, all or none; where one is refused its errors stand at their fields and nothing is kept.

    At a tablet where nobody said yet who they are, the answer is the question who is saving this.
    """
    seen = form.seen(clock.utc_now())
    if seen is None:
        return False
    by = saver.who_saves(_takes(drafts))
    with clock_told(form):
        if isinstance(by, saver.WhoForm):
            return _is_kept_or_asked(form, drafts, seen, by)
        results, entry = _append(form, drafts, seen, by)
        for index, result in enumerate(results):
            show_errors(form, result.errors, index=index)
        if all(result.status != "rejected" for result in results):
            _say_late(entry)
            return True
    return False


def _append(
    form: EntryForm, drafts: Sequence[Draft], seen: datetime, by: ledger.Caller
) -> tuple[Sequence[ledger.Result], Entry | None]:
    """Append the entries of a form; give what became of them, and the first one as it is kept."""
    code = identity.current().site.code
    with writing_to(code) as (session, now):
        dated = _dated(session, form, drafts, seen)
        results = ledger.append(session, code, dated, by=by, at=now, together=True)
        return results, find_kept(session, form.entry_id.data)


@contextmanager
def clock_told(form: PageForm) -> Iterator[None]:
    """Where the server's clock keeps anything from being saved, say so at the form: what was typed stays in it."""
    try:
        yield
    except ledger.ClockBehind as error:
        form.refuse(None, words.clock_behind_words(error.behind))


def _takes(drafts: Sequence[Draft]) -> set[Permission]:
    """Give what it takes to write these."""
    return {writing(draft["kind"]) for draft in drafts} | {
        Permission.MEND_ENTRY for draft in drafts if "amends" in draft
    }


def _is_kept_or_asked(form: EntryForm, drafts: Sequence[Draft], seen: datetime, who: saver.WhoForm) -> bool:
    """Ask who is saving what can be kept. False with the errors of what cannot; True where it was kept already."""
    here = identity.current()
    nobody = ledger.Caller(login="", name="", role=here.role, via=here.caller.via)
    with writing_to(here.site.code) as (session, now):
        dated = _dated(session, form, drafts, seen)
        looked_at = ledger.rehearse(session, here.site.code, dated, by=nobody, at=now)
        is_kept = find_kept(session, form.entry_id.data) is not None
    for index, (_entry, errors) in enumerate(looked_at):
        show_errors(form, errors, index=index)
    entries = [entry for entry, _errors in looked_at if entry is not None]
    if len(entries) == len(drafts) and not is_kept:
        saver.ask(who, entries, _takes(drafts))
    return len(entries) == len(drafts)


def _dated(session: Session, form: EntryForm, drafts: Sequence[Draft], seen: datetime) -> list[Draft]:
    """Give the drafts with when they were seen: a form sent twice says "just now" twice, and means the first."""
    first = find_kept(session, form.entry_id.data)
    if first is not None and not form.observed_at.data:
        seen = first.observed_at
    return [{**draft, "observed_at": instant_text(seen)} for draft in drafts]


def find_kept(session: Session, id: str | None) -> Entry | None:
    """Give the entry of the kitchen that has this id. What is no id is not looked up: it may be any text."""
    try:
        known = str(UUID(id or ""))
    except ValueError:
        return None
    return ledger.find_entry(session, identity.current().site.code, known)


def show_errors(form: EntryForm, errors: Sequence[FieldError], *, index: int = 0) -> None:
    """Put the ledger's errors at the fields of the form, in a cook's words."""
    form.refusals = [*form.refusals, *errors]
    for error in errors:
        if error.code != "together":  # another entry of the same form has the error that is to be mended
            # What is seen too early is named at what it is of; on the page the time is what was typed wrong.
            name = "observed_at" if error.values.get("why") == "before_opener" else error.field
            form.refuse(form.field_of(index, name), words.error_words(error.field, error.code, error.values))


def _say_late(entry: Entry | None) -> None:
    if entry is not None and entry.late:
        flash(_("It was recorded long after it was observed. The record shows both times."))


def _instant(text: str | None) -> datetime | None:
    try:
        at = datetime.fromisoformat(text or "")
    except ValueError:
        return None
    return at if at.tzinfo is not None and at.year in _YEARS else None


def _local(text: str) -> datetime | None:
    try:
        local = datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    has_time = len(text.strip()) > len("2026-04-14")
    return local if local.tzinfo is None and has_time and local.year in _YEARS else None


def _in_zone(local: datetime, zone: ZoneInfo, *, fold: int) -> datetime:
    return local.replace(tzinfo=zone, fold=fold).astimezone(UTC)


def _is_skipped(local: datetime, zone: ZoneInfo) -> bool:
    back = local.replace(tzinfo=zone).astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    return back != local


def _is_twice(local: datetime, zone: ZoneInfo) -> bool:
    first, second = (local.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
    return first != second and not _is_skipped(local, zone)
