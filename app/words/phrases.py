"""The usual phrases of a corrective action: offered until a kitchen sets its own. Common practice, no source."""

from collections.abc import Mapping

from .marking import N_, gettext

PhraseParts = Mapping[str, tuple[str, ...]]
"""The part of a corrective action (cause, action, prevention) → its phrases."""

_ANY: PhraseParts = {
    "cause": (N_("Forgotten in the rush."), N_("Nobody was told to do it.")),
    "action": (N_("Done as soon as it was seen."), N_("The person in charge was told.")),
    "prevention": (N_("The next shift is told."), N_("One person is named for it each shift.")),
}

_MISSED: PhraseParts = {
    "cause": (N_("Forgotten in the rush."), N_("Too few people on the shift."), N_("Checked, but not recorded.")),
    "action": (N_("Checked as soon as it was seen."), N_("The food was looked at and checked.")),
    "prevention": (N_("One person is named for it each shift."), N_("A timer is set for the next check.")),
}

_BY_GROUP: Mapping[str, PhraseParts] = {
    "cooking": {
        "cause": (
            N_("Pulled too early."),
            N_("The birds differed in size."),
            N_("The oven was not hot enough."),
        ),
        "action": (N_("Back in the oven and probed again."), N_("Kept apart and thrown away.")),
        "prevention": (
            N_("Probe every spit before it is pulled."),
            N_("Birds of one size on one spit."),
            N_("Have the oven looked at."),
        ),
    },
    "holding": {
        "cause": (
            N_("The door of the unit stood open."),
            N_("The unit was too cool."),
            N_("The tray stood out."),
        ),
        "action": (N_("Reheated at once and probed."), N_("Served at once."), N_("Thrown away.")),
        "prevention": (
            N_("Heat the unit before the first tray."),
            N_("Keep the door shut."),
            N_("Smaller trays, filled more often."),
        ),
    },
    "time_control": {
        "cause": (N_("The label was forgotten."), N_("The tray was not cleared in time.")),
        "action": (N_("Thrown away."), N_("A label put on as soon as it was seen.")),
        "prevention": (N_("Label the tray when it goes out."), N_("A timer is set for the discard time.")),
    },
    "cooling": {
        "cause": (N_("The portions were too big."), N_("The cold unit was too full."), N_("Chilling began too late.")),
        "action": (N_("Thrown away."), N_("Kept apart and marked.")),
        "prevention": (N_("Cut up before chilling."), N_("Use shallow pans."), N_("Chill right after service.")),
    },
    "reheating": {
        "cause": (N_("Taken out too early."), N_("Too much was reheated at once.")),
        "action": (N_("Reheated further and probed."), N_("Thrown away.")),
        "prevention": (N_("Reheat smaller amounts."), N_("Probe before it is taken out.")),
    },
    "cold_storage": {
        "cause": (N_("The door stood open."), N_("The unit was too full."), N_("The unit does not cool enough.")),
        "action": (N_("Food moved to another unit and probed."), N_("Thrown away.")),
        "prevention": (N_("Keep the door shut."), N_("Have the unit looked at."), N_("First in, first out.")),
    },
    "receiving": {
        "cause": (N_("The delivery came too warm."), N_("The lot number was not recorded.")),
        "action": (N_("The delivery was rejected."), N_("The lot was looked up on the papers.")),
        "prevention": (N_("The supplier was told."), N_("Check every delivery before it is signed for.")),
    },
    "probes": {
        "cause": (N_("The probe is out of adjustment."), N_("The probe was dropped."), N_("The battery is low.")),
        "action": (N_("Taken out of use."), N_("Adjusted and checked again."), N_("Checked again with another probe.")),
        "prevention": (N_("Check the probes before the shift."), N_("Keep a spare probe.")),
    },
    "foreign_body": {
        "cause": (N_("A tie or skewer broke."), N_("They were counted wrong.")),
        "action": (N_("The birds were searched and it was found."), N_("Searched, not found: thrown away.")),
        "prevention": (N_("Count on and count off, out loud."), N_("Throw worn skewers away.")),
    },
    "balance": {
        "cause": (N_("Birds went out that were not recorded."), N_("They were counted wrong.")),
        "action": (N_("Counted again and corrected."), N_("The tray was looked for.")),
        "prevention": (N_("Record each tray as it goes out."), N_("One person is named for it each shift.")),
    },
    "set_aside": {
        "cause": (N_("It was not marked as set aside."), N_("The shift that followed was not told.")),
        "action": (N_("The rest was thrown away."), N_("The person in charge was told.")),
        "prevention": (N_("Mark the tray at once."), N_("One shelf for food that is set aside.")),
    },
    "lateness": _MISSED,
    "checklists": _MISSED,
}

_BY_RULE: Mapping[str, PhraseParts] = {
    "hold.check_interval": _MISSED,
    "cold.check_interval": _MISSED,
    "probe.check_due": _MISSED,
    "cook.interrupted": {
        "cause": (N_("A power cut."), N_("The gas went out."), N_("The drive stopped.")),
        "action": (N_("Thrown away."), N_("Kept apart until somebody in charge decides.")),
        "prevention": (N_("Have the oven looked at."), N_("Note at once when an oven stops.")),
    },
    "hold.disposition": {
        "cause": (N_("Nobody looked at its time."), N_("It was taken by mistake.")),
        "action": (N_("The rest was thrown away."), N_("The person in charge was told.")),
        "prevention": (N_("A timer is set for the next check."), N_("Clear the tray before its time is up.")),
    },
    "time_control.procedure": {
        "cause": (N_("No procedure is written yet."), N_("The plan does not name the procedure.")),
        "action": (N_("The tray was cleared in time."), N_("The person in charge was told.")),
        "prevention": (N_("Write the procedure down."), N_("Name the procedure in the plan.")),
    },
    "start.checks": {
        "cause": _MISSED["cause"],
        "action": (N_("Corrected before the oven was started."), *_MISSED["action"]),
        "prevention": _MISSED["prevention"],
    },
}
"""Rules for which something else goes wrong than for the rest of their group."""


def usual_phrases(rule: str, group: str | None) -> PhraseParts:
    """Give the usual phrases for a rule of a group of controls, in the reader's language."""
    found = _BY_RULE.get(rule) or _BY_GROUP.get(group or "", _ANY)
    return {part: tuple(gettext(phrase) for phrase in phrases) for part, phrases in found.items()}


_DONE_ABOUT_NO = (
    N_("Corrected as soon as it was seen."),
    N_("The person in charge was told."),
    N_("Out of use until it is repaired."),
)


def checklist_phrases() -> list[tuple[str, str]]:
    """Give what may have been done about a check that was answered no, as the choices of a form."""
    return [(said, said) for said in map(gettext, _DONE_ABOUT_NO)]


_WHY_CORRECTED = (
    N_("Typed wrong."),
    N_("Read off the wrong line."),
    N_("It belongs to another one."),
    N_("The wrong probe was chosen."),
)
_WHY_WITHDRAWN = (N_("It did not happen."), N_("Recorded twice."), N_("It belongs to another one."))


def correction_phrases() -> list[tuple[str, str]]:
    """Give why an entry may be corrected, as the choices of a form. Common practice, no source."""
    return [(said, said) for said in map(gettext, _WHY_CORRECTED)]


def withdrawal_phrases() -> list[tuple[str, str]]:
    """Give why an entry may be withdrawn, as the choices of a form. Common practice, no source."""
    return [(said, said) for said in map(gettext, _WHY_WITHDRAWN)]
