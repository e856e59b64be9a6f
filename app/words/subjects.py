"""What a finding, an entry or a line is about, in words: `spit 2 of load A-L1`, `tray A-T1`."""

from datetime import date

from app.kinds import Subject

from . import measures, names
from .marking import N_, say
from .marking import gettext as _
from .short import short_name

_SUBJECTS = {
    "load": N_("load"),
    "tray": N_("tray"),
    "batch": N_("batch"),
    "reheat": N_("reheat"),
    "probe": N_("probe"),
    "cold_unit": N_("cold unit"),
    "hot_unit": N_("hot-holding unit"),
    "unit": N_("unit"),
    "oven": N_("oven"),
    "equipment": N_("equipment"),
    "receiving": N_("delivery of lot"),
    "lot": N_("lot"),
    "day": N_("day"),
}


_FOOD = frozenset(("load", "tray", "batch", "reheat"))


def subject_words(subject: Subject) -> str:
    """Give a subject as it stands inside a sentence."""
    if subject.kind == "spit":
        return _("spit %(spit)s of load %(load)s", spit=subject.spit, load=short_name(subject.name))
    if subject.kind == "checklist":
        return names.list_word(subject.name)
    if subject.kind == "day":
        return measures.day_words(date.fromisoformat(subject.name))
    name = short_name(subject.name) if subject.kind in _FOOD else subject.name
    return _("%(kind)s %(name)s", kind=say(_SUBJECTS, subject.kind), name=name)


def kind_of_subject_word(kind: str) -> str:
    """Give the word for a kind of subject."""
    return say(_SUBJECTS, kind)


def sentence_start(words: str) -> str:
    """Give words as they stand at the start of a sentence."""
    return words[:1].upper() + words[1:]
