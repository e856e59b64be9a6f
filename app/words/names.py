"""The words for every code: verdicts, kinds, ways out, dispositions, roles, plan settings and the rest."""

from app.rules.facts import Concern, Status, Verdict

from .marking import N_, say

_VERDICTS = {
    "met": N_("met"),
    "not_met": N_("not met"),
    "not_shown": N_("not shown by the records"),
    "pending": N_("pending"),
}

_CONCERNS = {
    "critical_limit": N_("critical limit"),
    "monitoring": N_("monitoring"),
    "verification": N_("verification"),
}

_STATUSES = {
    "open": N_("open"),
    "acted": N_("acted on"),
    "sent_back": N_("sent back"),
    "verified": N_("verified"),
}

_TO = {
    "served": N_("served"),
    "prepared": N_("prepared (boned, salad, stock)"),
    "donated": N_("donated"),
    "discarded": N_("discarded"),
    "chilled": N_("chilled"),
    "reheated": N_("reheated"),
    "other_tray": N_("moved to another tray"),
    "returned_to_oven": N_("returned to the oven"),
    "served_cold": N_("served cold"),
    "reheated_to_order": N_("reheated to order"),
    "returned_to_supplier": N_("returned to the supplier"),
    "other": N_("another way"),
}

_DO = {
    "served": N_("Serve"),
    "prepared": N_("Bone it, or use it for salad or stock"),
    "donated": N_("Donate"),
    "discarded": N_("Throw it away"),
    "chilled": N_("Chill it"),
    "reheated": N_("Reheat it"),
    "other_tray": N_("Into another tray"),
    "returned_to_oven": N_("Back into the oven"),
    "served_cold": N_("Serve cold"),
    "reheated_to_order": N_("Reheat to order"),
}
"""What is to be done with birds: on the buttons of what is right."""

_REASONS = {
    "quality": N_("quality"),
    "end_of_day": N_("end of the day"),
    "dropped": N_("dropped"),
    "time": N_("out of time"),
    "temperature": N_("out of temperature"),
    "returned": N_("returned"),
    "other": N_("other"),
}

_METHODS = {
    "cut_up": N_("cut up"),
    "shallow_pan": N_("shallow pan"),
    "ice_bath": N_("ice bath"),
    "rapid_chiller": N_("rapid chiller"),
    "other": N_("another way"),
    "ice_point": N_("ice point"),
    "boiling_point": N_("boiling point"),
    "comparison": N_("comparison"),
}

_DISPOSITIONS = {
    "continue_cooking": N_("continue cooking"),
    "reheat": N_("reheat"),
    "chill": N_("chill"),
    "serve_now": N_("serve now"),
    "discard": N_("discard"),
    "already_out": N_("already sold, served or given away"),
    "reject_delivery": N_("reject the delivery"),
    "hold_for_evaluation": N_("hold for evaluation"),
    "take_probe_out_of_use": N_("take the probe out of use"),
    "search_for_foreign_body": N_("search for the foreign body"),
    "none": N_("nothing done to the food"),
}

_PLACES = {"breast": N_("breast"), "thigh": N_("thigh")}
_STATES = {"chilled": N_("chilled"), "frozen": N_("frozen")}
_DECISIONS = {"accepted": N_("accepted"), "rejected": N_("rejected")}
_MEASURED_OF = {"air": N_("air"), "food": N_("food")}
_OUTCOMES = {
    "accepted": N_("accepted"),
    "sent_back": N_("sent back"),
    "right": N_("right"),
    "corrected": N_("corrected on the spot"),
    "plan_stands": N_("the plan stands"),
    "plan_to_change": N_("the plan is to be changed"),
}
_WATCHED = {
    "receiving": N_("receiving a delivery"),
    "loading": N_("loading a spit"),
    "probing": N_("probing birds on the spit"),
    "pulling": N_("pulling a spit"),
    "hot_holding": N_("reading a tray"),
    "cooling": N_("cooling"),
    "reheating": N_("reheating"),
    "probe_check": N_("checking a probe"),
    "hand_washing": N_("hand washing"),
    "cleaning": N_("cleaning"),
    "other": N_("other work"),
}
_THAWED_HOW = {
    "cold_unit": N_("in a cold unit"),
    "running_water": N_("under running water"),
    "cooking": N_("as part of cooking"),
}
_COMPARED = {
    "same": N_("the same as the code"),
    "stricter": N_("stricter than the code"),
    "looser": N_("looser than the code"),
    "other": N_("set by the house"),
}
_LISTS = {"opening": N_("opening checks"), "closing": N_("closing checks"), "start": N_("start checks")}
_ROLES = {"cook": N_("cook"), "in_charge": N_("person in charge"), "inspector": N_("inspector")}
_EQUIPMENT = {
    "oven": N_("oven"),
    "hot_unit": N_("hot-holding unit"),
    "cold_unit": N_("cold unit"),
    "probe": N_("probe"),
}
_COUNTRIES = {
    "US": N_("United States"),
    "CA": N_("Canada"),
    "GB": N_("United Kingdom"),
    "AU": N_("Australia"),
}
_SCALES = {"F": N_("°F only"), "C": N_("°C only"), "dual": N_("°F and °C")}
_MEANINGS = {
    "reviewed": N_("I have reviewed these records."),
    "verified": N_("I have verified the records of this week."),
}

_BANDS = {
    "under_2h": N_("under the first limit"),
    "from_2h": N_("past the first limit"),
    "from_4h": N_("past the last limit"),
}

_GROUPS = {
    "cooking": N_("cooking"),
    "holding": N_("hot holding"),
    "time_control": N_("time as the control"),
    "cooling": N_("cooling"),
    "reheating": N_("reheating"),
    "cold_storage": N_("cold storage"),
    "receiving": N_("receiving"),
    "probes": N_("probes"),
    "balance": N_("balance of birds"),
    "foreign_body": N_("foreign bodies (ties and skewers)"),
    "set_aside": N_("food set aside"),
    "lateness": N_("readings written late"),
    "checklists": N_("opening and closing lists"),
}

_PROVENANCE = {
    "law": N_("law"),
    "model_code": N_("model code"),
    "guidance": N_("guidance"),
    "house": N_("house rule"),
}

_VIAS = {"session": N_("signed in"), "tablet": N_("tablet"), "token": N_("token"), "command": N_("by a command")}

_SETTINGS = {
    "cook_core": N_("Core temperature when pulled, at least"),
    "cook_dwell_s": N_("Core temperature held for"),
    "cook_target": N_("House goal when pulled"),
    "cook_table": N_("Published time at a temperature that takes the limit's place"),
    "cook_humidity": N_("How the humidity that this table asks for is met"),
    "birds_checked_per_spit": N_("Birds probed per spit"),
    "places_per_bird": N_("Places probed per bird"),
    "hot_holding": N_("Hot holding, at least"),
    "check_interval_min": N_("Time between hot-holding checks"),
    "grace_min": N_("Grace on a hot-holding check"),
    "band_reheat_min": N_("Time out of temperature: first limit"),
    "band_discard_min": N_("Time out of temperature: last limit"),
    "time_control_min": N_("Time as the control: longest time"),
    "time_control_ways": N_("Time as the control: where birds may go"),
    "time_control_procedure": N_("Written procedure for time as the control"),
    "cool_first": N_("Cooling, first stage: down to"),
    "cool_first_min": N_("Cooling, first stage: within"),
    "cool_total": N_("Cooling, second stage: down to"),
    "cool_total_min": N_("Cooling, second stage: within"),
    "reheat_core": N_("Reheating, at least"),
    "reheat_dwell_s": N_("Reheating: held for"),
    "reheat_min": N_("Reheating: within"),
    "cold_holding": N_("Cold holding, at most"),
    "receive_cold": N_("Chilled deliveries, at most"),
    "probe_tolerance_c": N_("Probe accuracy, °C or dual scale: within"),
    "probe_tolerance_f": N_("Probe accuracy, °F-only scale: within"),
    "cold_checks_per_day": N_("Checks of a cold unit in a day"),
    "late_min": N_("An entry is late when written after"),
    "date_mark_days": N_("Days a chilled batch may be kept"),
    "day_starts": N_("The business day starts at"),
    "start_checks": N_("Checks before an oven is started"),
    "opening_checks": N_("Opening checks"),
    "closing_checks": N_("Closing checks"),
    "interruption_min": N_("Longest interruption of an oven"),
    "controls": N_("Control groups in force"),
}


_IDENTIFIED = {
    "pin": N_("PIN typed"),
    "recent": N_("name tapped, PIN typed minutes before"),
}


def verdict_word(verdict: Verdict | str) -> str:
    """Give the word of a verdict: met, not met, not shown by the records, pending."""
    return say(_VERDICTS, str(verdict))


def concern_word(concern: Concern | str) -> str:
    """Give the word for what a finding is about."""
    return say(_CONCERNS, str(concern))


def status_word(status: Status | str) -> str:
    """Give the word for how far a finding has been answered."""
    return say(_STATUSES, str(status))


def to_word(to: str) -> str:
    """Give the word for where birds went."""
    return say(_TO, to)


def do_word(to: str) -> str:
    """Give the words of the button that sends birds a way."""
    return say(_DO, to)


def reason_word(reason: str) -> str:
    """Give the word for why birds were discarded."""
    return say(_REASONS, reason)


def method_word(method: str) -> str:
    """Give the word for how birds were chilled, or how a probe was checked."""
    return say(_METHODS, method)


def disposition_word(disposition: str) -> str:
    """Give the word for what was done with the food in a corrective action."""
    return say(_DISPOSITIONS, disposition)


def place_word(place: str) -> str:
    """Give the word for where a bird was probed."""
    return say(_PLACES, place)


def state_word(state: str) -> str:
    """Give the word for the state of a delivery."""
    return say(_STATES, state)


def decision_word(decision: str) -> str:
    """Give the word for what was decided about a delivery."""
    return say(_DECISIONS, decision)


def measured_of_word(of: str) -> str:
    """Give the word for what a unit check measured."""
    return say(_MEASURED_OF, of)


def outcome_word(outcome: str) -> str:
    """Give the word for the outcome of a review, of a corrective action or of the plan."""
    return say(_OUTCOMES, outcome)


def watched_word(watched: str) -> str:
    """Give the words for work that was watched."""
    return say(_WATCHED, watched)


def thawed_how_word(how: str) -> str:
    """Give the words for how frozen birds are thawed."""
    return say(_THAWED_HOW, how)


def compared_word(compared: str) -> str:
    """Give the words for how a value stands beside what the code says."""
    return say(_COMPARED, compared)


def list_word(name: str) -> str:
    """Give the name of a checklist."""
    return say(_LISTS, name)


def role_word(role: str) -> str:
    """Give the word for a person's role."""
    return say(_ROLES, role)


def equipment_word(kind: str) -> str:
    """Give the word for a kind of equipment."""
    return say(_EQUIPMENT, kind)


def country_word(code: str) -> str:
    """Give the name of a country by its ISO 3166 code."""
    return say(_COUNTRIES, code)


def scale_word(scale: str) -> str:
    """Give the words for what a probe's display shows."""
    return say(_SCALES, scale)


def meaning_words(meaning: str) -> str:
    """Give the sentence that a sign-off stands for."""
    return say(_MEANINGS, meaning)


def band_word(band: str) -> str:
    """Give the words for a band of the time out of temperature."""
    return say(_BANDS, band)


def group_word(group: str) -> str:
    """Give the name of a group of controls."""
    return say(_GROUPS, group)


def provenance_word(kind: str) -> str:
    """Give the word for what a limit is: law, model code, guidance or house rule."""
    return say(_PROVENANCE, kind)


def setting_word(name: str) -> str:
    """Give the name of a plan setting."""
    return say(_SETTINGS, name)


def identified_word(identified: str | None) -> str:
    """Give the words for what showed whose entry it is; empty where it did not come from a tablet's page."""
    return say(_IDENTIFIED, identified) if identified else ""


def via_word(via: str) -> str:
    """Give the words for how an entry came in: through a tablet, a token, or signed in on a screen."""
    kind, _colon, name = via.partition(":")
    return " ".join(part for part in (say(_VIAS, kind), name) if part)
