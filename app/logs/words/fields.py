"""The words for the fields of entries and forms, as they stand beside a box and inside a message."""

from .marking import N_, say
from .names import setting_word

_FIELDS = {
    "": N_("entry"),
    "action": N_("what was done"),
    "adjusted": N_("adjusted"),
    "altitude_m": N_("altitude in metres"),
    "amend_reason": N_("why it is mended"),
    "amends": N_("the entry that is mended"),
    "as_of": N_("as at"),
    "authority": N_("adopted here by"),
    "batch": N_("batch"),
    "bird": N_("bird"),
    "birds": N_("birds"),
    "cause": N_("cause"),
    "checks": N_("start checks"),
    "code": N_("code"),
    "cold_unit": N_("cold unit"),
    "day": N_("day"),
    "days": N_("days"),
    "decision": N_("accepted or rejected"),
    "discarded": N_("birds thrown away"),
    "discarded_birds": N_("numbers of the birds thrown away"),
    "disposition": N_("what became of the food"),
    "entered_at": N_("written at"),
    "findings": N_("findings"),
    "held_s": N_("held for (seconds)"),
    "hot_unit": N_("hot-holding unit"),
    "id": N_("id"),
    "into": N_("into tray"),
    "items": N_("items"),
    "kind": N_("kind"),
    "language": N_("language"),
    "list": N_("checklist"),
    "load": N_("load"),
    "login": N_("sign-in name"),
    "lot": N_("lot"),
    "marked_discard_by": N_("discard time on the label"),
    "mean_weight": N_("mean weight"),
    "meaning": N_("meaning"),
    "method": N_("method"),
    "name": N_("name"),
    "no_display": N_("display shows nothing"),
    "note": N_("note"),
    "observed_at": N_("seen at"),
    "of": N_("air or food"),
    "outcome": N_("outcome"),
    "oven": N_("oven"),
    "password": N_("password"),
    "person": N_("person"),
    "pin": N_("PIN"),
    "place": N_("place"),
    "pressure_hpa": N_("air pressure in hPa"),
    "prevention": N_("how to stop it happening again"),
    "probe": N_("probe"),
    "product": N_("product"),
    "reason": N_("reason"),
    "recorded_at": N_("written at"),
    "reference_temperature": N_("temperature of the reference"),
    "reheat": N_("reheat"),
    "remark": N_("remark"),
    "role": N_("role"),
    "rotation": N_("rotation in percent"),
    "humidity": N_("relative humidity in the oven in percent"),
    "scale": N_("scale"),
    "site": N_("site"),
    "skewers": N_("skewers on"),
    "skewers_removed": N_("skewers off"),
    "spit": N_("spit"),
    "state": N_("chilled or frozen"),
    "supplier": N_("supplier"),
    "tablet": N_("tablet"),
    "temperature": N_("temperature"),
    "text": N_("text"),
    "through_seq": N_("up to entry number"),
    "ties": N_("ties on"),
    "ties_removed": N_("ties off"),
    "timezone": N_("time zone"),
    "to": N_("where to"),
    "token": N_("token"),
    "tray": N_("tray"),
    "unit": N_("°F or °C"),
    "unit_code": N_("unit"),
    "use_by": N_("use by"),
    "variance": N_("variance"),
    "weight_unit": N_("lb or kg"),
    "withdrawn": N_("withdrawn"),
}

_OUTCOMES_OF_A_POST = {
    "accepted": N_("kept"),
    "duplicate": N_("already kept"),
    "rejected": N_("not kept"),
}


def field_word(field: str) -> str:
    """Give the word for a field (`checks.water` and `findings.0` by their first part) or for a plan setting."""
    first = field.partition(".")[0].partition("[")[0]
    return say(_FIELDS, first) if first in _FIELDS else setting_word(first)


def result_word(status: str) -> str:
    """Give the word for what became of a posted entry."""
    return say(_OUTCOMES_OF_A_POST, status)
