"""Cold storage, receiving, probes and the balance of the records, in sentences."""

from app.logs.words import measures
from app.logs.words.marking import gettext as _

from .told import Sentence, Told


def _cold_temperature(told: Told) -> str:
    values = {"temperature": told.temperature(), "at": told.onset, "limit": told.limit_degrees()}
    if told.is_not_met:
        return _("Food at %(temperature)s at %(at)s; the limit is %(limit)s.", **values)
    return _(
        "Air at %(temperature)s at %(at)s; the limit for food is %(limit)s, and no reading of the food in the next "
        "30 minutes shows that it was kept.",
        **values,
    )


def _cold_check_interval(told: Told) -> str:
    done, asked = told.measured.get("checks", 0), told.limit.get("checks", told.plan.limits.cold_checks_per_day)
    return _("Checked %(done)s times in the day; the plan asks for %(asked)s.", done=done, asked=asked)


def _receive_temperature(told: Told) -> str:
    if told.is_not_met:
        return _(
            "Accepted at %(temperature)s; the limit for a chilled delivery is %(limit)s.",
            temperature=told.temperature(),
            limit=told.limit_degrees(),
        )
    return _(
        "Accepted without a temperature; the limit for a chilled delivery is %(limit)s.", limit=told.limit_degrees()
    )


def _probe_accuracy(told: Told) -> str:
    if told.field("no_display") or told.measured.get("no_display"):
        return _("It was checked at %(at)s and its display showed nothing.", at=told.onset)
    error = told.measured.get("error")
    if error is None:
        return _("It was checked at %(at)s and read %(temperature)s.", at=told.onset, temperature=told.temperature())
    return _(
        "It was checked at %(at)s and read %(temperature)s, %(error)s away from its reference.",
        at=told.onset,
        temperature=told.temperature(),
        error=measures.degrees(error, str(told.measured.get("error_unit", told.measured.get("unit", "F")))),
    )


def _probe_check_due(told: Told) -> str:
    return _("It was used at %(at)s without a passed check that day, or in the 24 hours before.", at=told.onset)


def _probe_out_of_use(told: Told) -> str:
    return _("It was used at %(at)s after it had failed a check and before it passed one.", at=told.onset)


def _probe_review(told: Told) -> str:
    return _(
        "Read with probe %(probe)s, which failed its check at %(at)s. With its error taken off, the reading would not "
        "have met the limit.",
        probe=told.measured.get("probe", told.field("probe")),
        at=told.onset,
    )


def _birds_balance(told: Told) -> str:
    if told.finding.subject.kind == "spit":
        return _("At the end of the day the records still show birds on this spit that were never pulled.")
    return _(
        "At the end of the day the records still show birds in this tray, and its check or discard time had passed."
    )


def _sign_off_due(told: Told) -> str:
    return _("This day was not signed by %(due)s, the end of the next business day.", due=told.onset)


SENTENCES: dict[str, Sentence] = {
    "cold.temperature": _cold_temperature,
    "cold.check_interval": _cold_check_interval,
    "receive.temperature": _receive_temperature,
    "probe.accuracy": _probe_accuracy,
    "probe.check_due": _probe_check_due,
    "probe.out_of_use": _probe_out_of_use,
    "probe.review": _probe_review,
    "birds.balance": _birds_balance,
    "record.sign_off_due": _sign_off_due,
}
