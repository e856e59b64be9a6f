"""One entry as a line of the logbook: what it is about, what it says, the number read, and with which probe."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from app.kinds import Entry, Subject

from . import entry_fields, measures
from .marking import gettext as _
from .subjects import subject_words


@dataclass(frozen=True, slots=True)
class EntryWords:
    """An entry in words; every part but `what` may be empty."""

    subject: str
    what: str
    value: str
    probe: str
    note: str


def entry_words(entry: Entry, zone: ZoneInfo) -> EntryWords:
    """Put an entry into words. `zone` is the kitchen's, for the times that an entry carries."""
    fields = entry.fields
    subject = entry_subject(entry)
    return EntryWords(
        subject="" if subject is None else subject_words(subject),
        what="" if entry.withdrawn else entry_fields.WHAT[entry.kind](fields, zone),
        value=_value(entry),
        probe=_probe(entry),
        note=str(fields.get("note", "")),
    )


def entry_subject(entry: Entry) -> Subject | None:
    """Give what an entry is about: the load of a cook reading, the tray of a hold reading; some have none."""
    field, kind = _SUBJECT_OF.get(entry.kind, ("", ""))
    name = entry.fields.get(field)
    return None if name is None else Subject(kind, str(name))


_SUBJECT_OF = {
    "receiving": ("lot", "receiving"),
    "raw_out": ("lot", "receiving"),
    "unit_check": ("unit_code", "unit"),
    "load_started": ("load", "load"),
    "spit_loaded": ("load", "load"),
    "oven_setting": ("oven", "oven"),
    "cook_reading": ("load", "load"),
    "spit_pulled": ("load", "load"),
    "hold_reading": ("tray", "tray"),
    "tray_moved": ("tray", "tray"),
    "tray_out": ("tray", "tray"),
    "time_control_started": ("tray", "tray"),
    "cooling_reading": ("batch", "batch"),
    "batch_moved": ("batch", "batch"),
    "reheat_started": ("batch", "batch"),
    "reheat_reading": ("reheat", "reheat"),
    "reheat_done": ("reheat", "reheat"),
    "batch_out": ("batch", "batch"),
    "probe_check": ("probe", "probe"),
    "equipment_out": ("code", "equipment"),
    "equipment_back": ("code", "equipment"),
}


def _probe(entry: Entry) -> str:
    return "" if entry.kind == "probe_check" else str(entry.fields.get("probe", ""))


def _value(entry: Entry) -> str:
    parts = []
    if "birds" in entry.fields:
        parts.append(measures.birds(entry.fields["birds"]))
    if entry.temperature is not None:
        parts.append(measures.measured(entry.temperature))
    if "rotation" in entry.fields:
        parts.append(_("%(percent)s %% rotation", percent=measures.number(entry.fields["rotation"])))
    if "humidity" in entry.fields:
        parts.append(_("%(percent)s %% humidity", percent=measures.number(entry.fields["humidity"])))
    if entry.fields.get("no_display"):
        parts.append(_("no display"))
    return ", ".join(parts)
