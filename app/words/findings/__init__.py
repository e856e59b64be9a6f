"""What a finding says: a title and one sentence, made from its rule, what was measured, the limit and the subject."""

from dataclasses import dataclass

from app.rules.day.shown import Assessment
from app.rules.facts import Finding

from .. import names
from ..marking import N_, say
from ..marking import gettext as _
from ..subjects import sentence_start, subject_words
from . import cooking, cooling, holding, records, storage
from .context import FindingContext

_RULES = {
    "cook.core_temperature": N_("core temperature when pulled"),
    "cook.interrupted": N_("cooking interrupted"),
    "start.checks": N_("checks before the start"),
    "lot.known": N_("lot received"),
    "lot.rejected": N_("lot accepted and in date"),
    "hold.temperature": N_("hot-holding temperature"),
    "hold.time_out": N_("time out of temperature"),
    "hold.check_interval": N_("hot-holding check on time"),
    "hold.disposition": N_("what the food was used for"),
    "hold.unit": N_("hot-holding unit"),
    "time_control.start": N_("temperature at the start of time control"),
    "time_control.mark": N_("discard time on the label"),
    "time_control.procedure": N_("written procedure for time control"),
    "time_control.discard": N_("emptied by the discard time"),
    "time_control.returned": N_("not put back under temperature control"),
    "cool.first_stage": N_("cooling, first stage"),
    "cool.total": N_("cooling, second stage"),
    "date_mark.passed": N_("used by its date"),
    "reheat.temperature": N_("reheating temperature"),
    "reheat.dwell": N_("reheating temperature held"),
    "reheat.time": N_("reheated in time"),
    "cold.temperature": N_("cold holding"),
    "cold.check_interval": N_("cold unit checked"),
    "receive.temperature": N_("temperature on delivery"),
    "probe.accuracy": N_("probe accuracy"),
    "probe.check_due": N_("probe checked"),
    "probe.out_of_use": N_("probe used after a failed check"),
    "probe.review": N_("readings of a probe that failed"),
    "birds.balance": N_("birds accounted for"),
    "ties.balance": N_("ties and skewers accounted for"),
    "record.sign_off_due": N_("sign-off"),
    "record.late": N_("readings written in time"),
    "checklist.done": N_("list made"),
    "action.done": N_("corrective action carried out"),
    "aside.left": N_("food set aside"),
}


@dataclass(frozen=True, slots=True)
class FindingWords:
    """How a finding is put to people: what it is about and how it came out, then one sentence on why."""

    title: str
    sentence: str


def rule_word(rule: str) -> str:
    """Give the name of a rule."""
    return say(_RULES, rule)


def finding_words(finding: Finding, assessment: Assessment) -> FindingWords:
    """Put a finding into words. `assessment` is the one it stands in: it gives the clock's zone and the entries."""
    title = _(
        "%(subject)s, %(rule)s: %(verdict)s",
        subject=sentence_start(subject_words(finding.subject)),
        rule=rule_word(finding.rule),
        verdict=names.verdict_word(finding.verdict),
    )
    return FindingWords(title, SENTENCES[finding.rule](FindingContext(finding, assessment)))


SENTENCES = {**cooking.SENTENCES, **holding.SENTENCES, **cooling.SENTENCES, **storage.SENTENCES, **records.SENTENCES}

RULES = tuple(_RULES)
"""Every rule that has words."""
