"""What each kind of entry says beside its number, field by field."""

from collections.abc import Callable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from . import measures, names
from .checks import check_answer, check_words
from .marking import gettext as _

_Fields = Mapping[str, Any]


def _parts(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _if(fields: _Fields, name: str, message: str) -> str:
    """Fill a message with a field, if it is there."""
    return _(message, value=fields[name]) if name in fields else ""


def _receiving(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(
        fields["product"],
        _("from %(supplier)s", supplier=fields["supplier"]),
        names.state_word(fields["state"]),
        names.decision_word(fields["decision"]),
        fields.get("reason", ""),
        _("use by %(day)s", day=measures.day_words(fields["use_by"])) if "use_by" in fields else "",
    )


def _unit_check(fields: _Fields, zone: ZoneInfo) -> str:
    return names.measured_of_word(fields["of"])


def _load_started(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(_("started in oven %(oven)s", oven=fields["oven"]), _answers(fields["checks"]))


def _checklist(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(names.list_word(fields["list"]), _answers(fields["items"]))


def _answers(answers: Mapping[str, bool | None]) -> str:
    given: dict[str, list[str]] = {}
    for item, answer in answers.items():
        given.setdefault(check_answer(answer), []).append(check_words(item).title)
    return "; ".join(f"{answer}: {', '.join(titles)}" for answer, titles in given.items())


def _spit_loaded(fields: _Fields, zone: ZoneInfo) -> str:
    weight = ""
    if "mean_weight" in fields:
        weight = _(
            "mean weight %(weight)s %(unit)s", weight=measures.number(fields["mean_weight"]), unit=fields["weight_unit"]
        )
    return _parts(
        _("spit %(spit)s loaded", spit=fields["spit"]),
        _if(fields, "lot", "lot %(value)s"),
        weight,
        _if(fields, "ties", "ties on: %(value)s"),
        _if(fields, "skewers", "skewers on: %(value)s"),
    )


def _oven_setting(fields: _Fields, zone: ZoneInfo) -> str:
    return _("set")


def _cook_reading(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(
        _("spit %(spit)s, bird %(bird)s", spit=fields["spit"], bird=fields["bird"]),
        names.place_word(fields["place"]),
        _held(fields),
    )


def _held(fields: _Fields) -> str:
    return _("held for %(length)s", length=measures.duration(fields["held_s"])) if "held_s" in fields else ""


def _spit_pulled(fields: _Fields, zone: ZoneInfo) -> str:
    discarded = fields.get("discarded_birds")
    return _parts(
        _("spit %(spit)s pulled", spit=fields["spit"]),
        _if(fields, "tray", "into tray %(value)s"),
        _if(fields, "hot_unit", "unit %(value)s"),
        _("thrown away: bird %(birds)s", birds=measures.joined([str(bird) for bird in discarded])) if discarded else "",
        _if(fields, "ties_removed", "ties off: %(value)s"),
        _if(fields, "skewers_removed", "skewers off: %(value)s"),
    )


def _reading(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(_("reading"), _held(fields))


def _moved(fields: _Fields, zone: ZoneInfo) -> str:
    return _("moved to unit %(unit)s", unit=fields.get("hot_unit", fields.get("cold_unit", "")))


def _tray_out(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(
        names.to_word(fields["to"]),
        _if(fields, "recipient", "to %(value)s"),
        names.reason_word(fields["reason"]) if "reason" in fields else "",
        _if(fields, "into", "tray %(value)s"),
        _if(fields, "batch", "batch %(value)s"),
        names.method_word(fields["method"]) if "method" in fields else "",
        _if(fields, "cold_unit", "unit %(value)s"),
        _if(fields, "reheat", "reheat %(value)s"),
        _if(fields, "load", "load %(value)s"),
        _if(fields, "spit", "spit %(value)s"),
    )


def _time_control_started(fields: _Fields, zone: ZoneInfo) -> str:
    marked = fields.get("marked_discard_by")
    label = _("label says discard by %(time)s", time=measures.local_time(marked, zone)) if marked else _("no label")
    return _parts(_("time control started"), label)


def _reheat_started(fields: _Fields, zone: ZoneInfo) -> str:
    return _("reheat %(reheat)s started", reheat=fields["reheat"])


def _reheat_done(fields: _Fields, zone: ZoneInfo) -> str:
    thrown = fields.get("discarded")
    return _parts(
        _("done, into tray %(tray)s", tray=fields["tray"]),
        _if(fields, "hot_unit", "unit %(value)s"),
        _("thrown away: %(birds)s", birds=measures.bird_count(thrown)) if thrown else "",
    )


def _batch_out(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(names.to_word(fields["to"]), _if(fields, "recipient", "to %(value)s"))


def _probe_check(fields: _Fields, zone: ZoneInfo) -> str:
    reference = fields.get("reference_temperature")
    return _parts(
        names.method_word(fields["method"]),
        _("reference %(degrees)s", degrees=measures.degrees(reference, fields["unit"]))
        if reference is not None
        else "",
        _("at %(pressure)s hPa", pressure=measures.number(fields["pressure_hpa"])) if "pressure_hpa" in fields else "",
        _("at %(altitude)s m", altitude=measures.number(fields["altitude_m"])) if "altitude_m" in fields else "",
        _("adjusted") if fields["adjusted"] else "",
    )


def _equipment_out(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(_("out of use"), fields.get("cause", ""))


def _equipment_back(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(_("back in use"), fields.get("cause", ""))


def _in_charge_from(fields: _Fields, zone: ZoneInfo) -> str:
    return _("takes charge")


def _corrective_action(fields: _Fields, zone: ZoneInfo) -> str:
    return _(
        "Cause: %(cause)s. Done: %(action)s. Food: %(disposition)s. To prevent it: %(prevention)s",
        cause=fields["cause"].rstrip("."),
        action=fields["action"].rstrip("."),
        disposition=names.disposition_word(fields["disposition"]),
        prevention=fields["prevention"],
    ) + (_(" Told: %(told)s", told=fields["told"]) if "told" in fields else "")


def _release(fields: _Fields, zone: ZoneInfo) -> str:
    return _("released. It rests on: %(basis)s", basis=fields["basis"])


def _action_verified(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(names.outcome_word(fields["outcome"]), fields.get("remark", ""))


def _sign_off(fields: _Fields, zone: ZoneInfo) -> str:
    return _parts(_("signed by %(name)s", name=fields["signer_name"]), measures.day_words(fields["day"]))


def _note(fields: _Fields, zone: ZoneInfo) -> str:
    return str(fields["text"])


WHAT: Mapping[str, Callable[[_Fields, ZoneInfo], str]] = {
    "receiving": _receiving,
    "unit_check": _unit_check,
    "load_started": _load_started,
    "spit_loaded": _spit_loaded,
    "oven_setting": _oven_setting,
    "cook_reading": _cook_reading,
    "spit_pulled": _spit_pulled,
    "hold_reading": _reading,
    "tray_moved": _moved,
    "tray_out": _tray_out,
    "time_control_started": _time_control_started,
    "cooling_reading": _reading,
    "batch_moved": _moved,
    "reheat_started": _reheat_started,
    "reheat_reading": _reading,
    "reheat_done": _reheat_done,
    "batch_out": _batch_out,
    "probe_check": _probe_check,
    "equipment_out": _equipment_out,
    "equipment_back": _equipment_back,
    "checklist": _checklist,
    "in_charge_from": _in_charge_from,
    "corrective_action": _corrective_action,
    "action_verified": _action_verified,
    "release": _release,
    "sign_off": _sign_off,
    "note": _note,
}
