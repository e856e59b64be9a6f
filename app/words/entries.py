"""One entry as a line of the logbook: what it is about, what it says, the number read, and with which probe."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from app.kinds import Entry, OvenSetting, ProbeCheck, probe_of, temperature_of
from app.kinds.naming import about

from . import measures
from .kinds import brief_words, what_words
from .kinds.saying import parts
from .marking import gettext as _
from .subjects import sentence_start, subject_words


@dataclass(frozen=True, slots=True)
class EntryWords:
    """An entry in words; every part but `what` may be empty."""

    subject: str
    what: str
    brief: str
    """What it says where what it is about stands above it."""
    value: str
    probe: str
    note: str


def entry_words(entry: Entry, zone: ZoneInfo) -> EntryWords:
    """Put an entry into words. `zone` is the kitchen's, for the times that an entry carries."""
    subject = about(entry)
    return EntryWords(
        subject="" if subject is None else subject_words(subject),
        what=_asked(what_words(entry, zone), entry),
        brief=_asked(brief_words(entry, zone), entry),
        value=_value(entry),
        # The probe of its check is what the check is about.
        probe="" if isinstance(entry, ProbeCheck) else probe_of(entry) or "",
        note=entry.note or "",
    )


def _asked(said: str, entry: Entry) -> str:
    if not getattr(entry, "confirmed", False):
        return said
    asked = _("asked whether it is right: yes")
    return f"{said}; {asked}" if said else asked


def line_words(entry: Entry, zone: ZoneInfo) -> str:
    """Put an entry into one line, e.g. `Load A-L1, spit 2, bird 3, breast: 166 °F`."""
    said = entry_words(entry, zone)
    says = ": ".join(part for part in (sentence_start(parts(said.subject, said.what)), said.value) if part)
    return f"{says} ({said.note})" if said.note else says


def _value(entry: Entry) -> str:
    parts = []
    if (birds := getattr(entry, "birds", None)) is not None:
        parts.append(measures.birds(birds))
    if (read := temperature_of(entry)) is not None:
        parts.append(measures.measured(read))
    if isinstance(entry, OvenSetting):
        parts += _percents(entry)
    if isinstance(entry, ProbeCheck) and entry.no_display:
        parts.append(_("no display"))
    return ", ".join(parts)


def _percents(entry: OvenSetting) -> list[str]:
    found = []
    if entry.rotation is not None:
        found.append(_("%(share)s %% rotation", share=measures.number(entry.rotation)))
    if entry.humidity is not None:
        found.append(_("%(share)s %% humidity", share=measures.number(entry.humidity)))
    return found
