"""The words for the codes of verdicts, of what entries hold, of people and of equipment."""

from app.rules.facts import Concern, Finding, Status, Verdict

from .marking import N_, say
from .marking import gettext as _

_VERDICTS = {
    "met": N_("met"),
    "not_met": N_("not met"),
    "not_shown": N_("not recorded"),
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

_PLACES = {"breast": N_("breast"), "thigh": N_("thigh")}
_STATES = {"chilled": N_("chilled"), "frozen": N_("frozen")}
_DECISIONS = {"accepted": N_("accepted"), "rejected": N_("rejected")}
_MEASURED_OF = {"air": N_("air"), "food": N_("food")}
_OUTCOMES = {
    "accepted": N_("accepted"),
    "sent_back": N_("sent back"),
    "right": N_("right"),
    "corrected": N_("corrected on the spot"),
    "plan_stands": N_("the plan stays as it is"),
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

_VIAS = {"session": N_("signed in"), "tablet": N_("tablet"), "token": N_("token"), "command": N_("by a command")}

_IDENTIFIED = {
    "pin": N_("PIN typed"),
    "recent": N_("name tapped, PIN typed minutes before"),
}


def verdict_word(verdict: Verdict | str) -> str:
    """Give the word of a verdict: met, not met, not recorded, pending."""
    return say(_VERDICTS, str(verdict))


def concern_word(concern: Concern | str) -> str:
    """Give the word for what a finding is about."""
    return say(_CONCERNS, str(concern))


def status_word(status: Status | str) -> str:
    """Give the word for how far a finding has been answered."""
    return say(_STATUSES, str(status))


def finding_status_word(finding: Finding) -> str:
    """Give the word for how far a finding has been answered; a late sign-off is owed no more once it is there."""
    return _("signed late") if finding.is_signed_late else status_word(finding.status)


def method_word(method: str) -> str:
    """Give the word for how birds were chilled, or how a probe was checked."""
    return say(_METHODS, method)


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


def identified_word(identified: str | None) -> str:
    """Give the words for what showed whose entry it is; empty where it did not come from a tablet's page."""
    return say(_IDENTIFIED, identified) if identified else ""


def via_word(via: str) -> str:
    """Give the words for how an entry came in: through a tablet, a token, or signed in on a screen."""
    kind, _colon, name = via.partition(":")
    return " ".join(part for part in (say(_VIAS, kind), name) if part)
