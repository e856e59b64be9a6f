"""What people did about the day's findings: corrective actions, verifications, the signature."""

import uuid
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from app import ledger
from app.db import Database
from app.rules.day.shown import Assessment
from app.rules.facts import Finding

from .calendar import DemoDay
from .diary import NotKept, in_charge_on
from .kitchen import SITE, caller

_WORDS = {
    "cook.core_temperature": (
        "Spit taken off before the second bird was probed again.",
        "Birds put back on a free spit and roasted until both read above the limit.",
        "continue_cooking",
        "Nobody pulls a spit before the reading is written down.",
    ),
    "hold.temperature": (
        "The cabinet's door was left ajar behind the pastry trolley.",
        "Door shut, tray read again within the half hour.",
        "serve_now",
        "The trolley gets another place.",
    ),
    "hold.check_interval": (
        "Two deliveries at once, the check was forgotten.",
        "Tray read as soon as it was noticed.",
        "none",
        "The second cook takes over the checks while goods are received.",
    ),
    "time_control.discard": (
        "The tray stood behind the bread on the pass; nobody read its label.",
        "Thrown away as soon as it was found.",
        "discard",
        "Trays under time stand in front, label to the counter; an alarm is set for each.",
    ),
    "aside.left": (
        "The tray went to the counter before its reading was looked at.",
        "Both guests were still in the house and were told; the rest of the tray was thrown away.",
        "already_out",
        "A tray stays on the bench until its reading is written down.",
    ),
    "ties.balance": (
        "One skewer fewer came off the spit than went on.",
        "Spit, oven, board and every bird of the tray searched; the skewer lay in the drip pan.",
        "search_for_foreign_body",
        "Skewers are counted into the rack before the tray leaves the oven.",
    ),
    "cook.interrupted": (
        "The burner of the east oven went out while nobody looked.",
        "Relit by the fitter; every bird probed twice before it was pulled.",
        "hold_for_evaluation",
        "The flame is looked at when a load has been in for half an hour.",
    ),
    "cool.first_stage": (
        "Birds chilled whole, under a lid, in the warmer of the two units.",
        "Moved to the chiller, read again, thrown away.",
        "discard",
        "Leftovers are cut up and spread on shallow trays before they go in.",
    ),
    "date_mark.passed": (
        "One bird stood behind the salad boxes.",
        "Thrown away the morning it was found.",
        "discard",
        "Whoever closes reads every date in the chiller.",
    ),
    "reheat.temperature": (
        "Put out by the clock, without a last reading.",
        "Thrown away before any of it was served.",
        "discard",
        "A reheat goes into a tray only after its reading is written down.",
    ),
    "cold.temperature": (
        "The chiller's door was held open during a delivery.",
        "Door shut, food read again within the hour.",
        "hold_for_evaluation",
        "Deliveries go through the side door.",
    ),
    "probe.accuracy": (
        "The probe fell into the sink the evening before.",
        "Probe put aside and sent to be adjusted.",
        "take_probe_out_of_use",
        "Probes hang on their hook between readings.",
    ),
    "probe.review": (
        "Readings by a probe that read high.",
        "Compared with the readings of the other probe; food of that day is gone.",
        "already_out",
        "Probes are checked before the first load.",
    ),
    "receive.temperature": (
        "The van's cooling had failed.",
        "Cases that read warm were not used.",
        "discard",
        "The driver shows the van's record at delivery.",
    ),
    "record.late": (
        "The tablet lay in the office all afternoon.",
        "Asked everybody what they had read, and when.",
        "none",
        "The tablet hangs beside the cabinet.",
    ),
    "record.sign_off_due": (
        "The person in charge left early and nobody took over.",
        "Day reviewed late.",
        "none",
        "Whoever takes over is written down at the change of shift.",
    ),
}
SOLD = 3
"""How many days ago undercooked birds were sold before it was seen."""

_OTHERWISE = (
    "Noticed at the review of the day.",
    "Food looked at and read again.",
    "hold_for_evaluation",
    "Talked through with the crew.",
)


def assess(database: Database, day: DemoDay, at: datetime) -> Assessment:
    """Give the day as it stands at a moment."""
    with database.reading() as session:
        return ledger.assess_day(session, SITE, day.day, as_of=at)


def act(database: Database, day: DemoDay, at: datetime) -> None:
    """Write a corrective action for every finding that is still open."""
    open_findings = [f for f in assess(database, day, at).findings if f.status == "open"]
    for place, finding in enumerate(open_findings):
        _append(
            database,
            day,
            at + timedelta(minutes=2 * place),
            in_charge_on(day)[1],
            _action(finding, day.back),
            on_tablet=True,
        )


def _action(finding: Finding, back: int) -> dict[str, object]:
    cause, action, disposition, prevention = _WORDS.get(finding.rule, _OTHERWISE)
    if disposition not in finding.dispositions:
        disposition = finding.dispositions[0]
    if finding.rule == "cook.core_temperature" and back == SOLD:
        action, disposition = "What was left of the tray thrown away.", "discard"
    words = {"cause": cause, "action": action, "disposition": disposition, "prevention": prevention}
    told = {"told": "the guests who had it"} if disposition == "already_out" else {}
    return {"kind": "corrective_action", "findings": [finding.key], **words, **told}


def verify(database: Database, day: DemoDay, at: datetime) -> None:
    """Have the person in charge accept what was done, cleared findings included."""
    assessment = assess(database, day, at)
    findings = [*assessment.findings, *(item.finding for item in assessment.cleared)]
    keys = [finding.key for finding in findings if finding.status == "acted"]
    if keys:
        draft = {"kind": "action_verified", "findings": keys, "outcome": "accepted"}
        _append(database, day, at, in_charge_on(day)[0], draft, on_tablet=False)


def sign(database: Database, day: DemoDay, at: datetime) -> None:
    """Sign the day over the ledger's head. Raises NotKept with what stands in the way."""
    signer = replace(caller(in_charge_on(day)[0], on_tablet=False), signing=True)
    with database.writing() as session:
        shown = ledger.head(session, SITE)
        result = ledger.sign(session, SITE, day.day, by=signer, at=at, shown=shown)
    if result.status != "accepted":
        raise NotKept(f"{day.day} not signed: {result.errors}; {assess(database, day, at).blocking}")


def _append(
    database: Database, day: DemoDay, at: datetime, login: str, draft: Mapping[str, object], *, on_tablet: bool
) -> None:
    own_id = uuid.uuid5(uuid.NAMESPACE_URL, f"urn:roast-ledger:demo {day.back} {draft['kind']} {draft['findings']}")
    whole = {"id": str(own_id), "observed_at": at.isoformat(), **draft}
    with database.writing() as session:
        result = ledger.append(session, SITE, [whole], by=caller(login, on_tablet=on_tablet), at=at)[0]
    if result.status == "rejected":
        raise NotKept(f"{day.day}: {whole}: {result.errors}")
