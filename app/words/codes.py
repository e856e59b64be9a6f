"""The words for a code by the field that it stands in: `tray_out`'s `to`, `checklist`'s `list` and so on."""

from collections.abc import Callable, Mapping

from . import alarms, names, subjects, ways

# Kinds of entries are not here: whoever types one by hand is a program, and is told the code.
_BY_FIELD: Mapping[str, Callable[[str], str]] = {
    "about": subjects.kind_of_subject_word,
    "alarm": alarms.asks_word,
    "decision": names.decision_word,
    "disposition": ways.disposition_word,
    "kind": names.equipment_word,
    "how": names.thawed_how_word,
    "list": names.list_word,
    "meaning": names.meaning_words,
    "method": names.method_word,
    "of": names.measured_of_word,
    "outcome": names.outcome_word,
    "place": names.place_word,
    "reason": ways.reason_word,
    "role": names.role_word,
    "scale": names.scale_word,
    "state": names.state_word,
    "to": ways.to_word,
    "watched": names.watched_word,
}


def code_word(field: str, code: str) -> str:
    """Give the words for a code of a field; shown as it is where there are none."""
    return _BY_FIELD[field](code) if field in _BY_FIELD else code
