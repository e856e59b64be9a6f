"""What birds can be added to: each with its findings and its time, so that it is told before anything is saved."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from flask_babel import gettext as _
from wtforms import HiddenField

from app import words
from app.kinds import Subject
from app.rules.day.food_shown import SetAsideView
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import BatchView, ReheatView, TrayView
from app.rules.facts import Status, Verdict
from app.rules.meaning import cooling

from ..parts.forms import Draft, EntryForm
from .naming import propose_name
from .tray_jobs import tray_line


@dataclass(frozen=True, slots=True)
class Receiver:
    """A tray, batch or reheat that holds birds, in one line.

    `state` changes with its findings and its times; it is empty where nothing stands against it and nothing runs.
    """

    name: str
    says: str
    state: str


class MergingForm(EntryForm):
    """A form that may add birds to what holds some already."""

    receivers_shown = HiddenField()
    """What was on the page: each receiver with its state."""

    def note_on_page(self, receivers: Iterable[Receiver]) -> None:
        """Note that these are on the page now, each with its findings and its time."""
        self.receivers_shown.data = " ".join(_mark(one) for one in receivers)

    def is_on_page(self, receivers: Iterable[Receiver], draft: Draft, field: str) -> bool:
        """Whether what is added to was on the page as it is now, or has nothing to tell; else it is said at the field.

        A name may be typed that is no new one, and a page may be older than what has happened since.
        """
        name = draft.get(field)
        found = next((one for one in receivers if one.name == name), None)
        if found is None or not found.state or _mark(found) in (self.receivers_shown.data or "").split():
            return True
        self.refuse(
            self.field_of(0, field),
            _("%(name)s holds birds already: %(says)s. Save again to add to it.", name=name, says=found.says),
        )
        return False


def _mark(receiver: Receiver) -> str:
    return f"{receiver.name}:{sha256(receiver.state.encode()).hexdigest()[:12]}"


def adding(receivers: Iterable[Receiver]) -> dict[str, str]:
    """Give the choices of adding to what holds birds already."""
    return {one.name: _("add to %(name)s", name=words.short_name(one.name)) for one in receivers}


def new_tray() -> dict[str, str]:
    """Give the choice of a new tray, with a free name."""
    name = propose_name("tray")
    return {name: _("new tray %(tray)s", tray=words.short_name(name))}


def trays(assessment: Assessment, *, but: str | None = None) -> list[Receiver]:
    """Give the trays that hold birds."""
    return [_tray(assessment, one) for one in assessment.trays if one.birds_left and one.tray != but]


def batches(assessment: Assessment, *, but: str | None = None) -> list[Receiver]:
    """Give the batches that hold birds."""
    return [_batch(assessment, one) for one in assessment.batches if one.birds_left and one.batch != but]


def reheats(assessment: Assessment) -> list[Receiver]:
    """Give the reheats that hold birds."""
    return [_reheat(assessment, one) for one in assessment.reheats if one.birds_left]


def _tray(assessment: Assessment, tray: TrayView) -> Receiver:
    against, state = _against(assessment, Subject("tray", tray.tray), tray.set_aside)
    if tray.out_of_temperature_s:
        state += f" {tray.time_band} {tray.running_out}"
    if tray.discard_at:
        against.append(_("empty by %(time)s", time=_time(assessment, tray.discard_at)))
        state += f" {tray.discard_at}"
    return _receiver(tray.tray, [tray_line(tray)], against, state)


def _batch(assessment: Assessment, batch: BatchView) -> Receiver:
    against, state = _against(assessment, Subject("batch", batch.batch), batch.set_aside)
    for _name, limit, stage in cooling.marks(batch):
        if stage.verdict is Verdict.PENDING:
            due = _time(assessment, stage.due_at)
            against.append(_("down to %(limit)s by %(time)s", limit=words.limit(limit), time=due))
            state += f" {stage.due_at}"
    if batch.use_by:
        against.append(_("use by %(day)s", day=words.day_words(batch.use_by)))
        state += f" {batch.use_by}"
    own = [words.birds(batch.birds_left), *filter(None, (batch.product, batch.cold_unit))]
    return _receiver(batch.batch, own, against, state)


def _reheat(assessment: Assessment, reheat: ReheatView) -> Receiver:
    against, state = _against(assessment, Subject("reheat", reheat.reheat), reheat.set_aside)
    against.append(_("hot by %(time)s", time=_time(assessment, reheat.due_at)))
    return _receiver(reheat.reheat, [words.birds(reheat.birds_left)], against, f"{state} {reheat.due_at}")


def _receiver(name: str, own: Sequence[str], against: Sequence[str], state: str) -> Receiver:
    return Receiver(name, " · ".join([*own, *(against or [_("no findings")])]), state.strip())


def _against(assessment: Assessment, subject: Subject, aside: SetAsideView | None) -> tuple[list[str], str]:
    """Give what stands against it, and the keys of those findings as one text."""
    said, keys = [], list(aside.findings + aside.cleared) if aside else []
    if aside:
        why = words.joined(list(dict.fromkeys(words.rule_word(one.rule) for one in aside.reasons)))
        said.append(_("set aside since %(time)s: %(why)s", time=_time(assessment, aside.since), why=why))
    found = [one for one in assessment.findings if one.subject == subject and one.key not in keys]
    waiting = [one for one in found if one.status is not Status.VERIFIED]
    said += dict.fromkeys(f"{words.rule_word(one.rule)}: {words.verdict_word(one.verdict)}" for one in waiting)
    return said, " ".join([*keys, *(one.key for one in waiting)])


def _time(assessment: Assessment, at: datetime) -> str:
    return words.local_time(at, assessment.site.timezone, day=assessment.day)
