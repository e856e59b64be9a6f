"""What the page of all parts shows: invented pieces, each as its own page would give it."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import cast

from flask_babel import lazy_gettext as _l
from wtforms import (
    BooleanField,
    RadioField,
    StringField,
    TextAreaField,
)

from app import words
from app.kinds import Entry, Release, Subject, Temperature
from app.kinds.reading import entry_of
from app.logs.charts.chart import Chart, Table
from app.logs.drawings import BirdDrawn, Rod, Tick, TimeLine
from app.rules.day.food_shown import Released
from app.rules.facts import Concern, Finding, Verdict
from app.rules.meaning.alarms import Alarm
from app.rules.meaning.asking import Question
from app.rules.meaning.bands import Bands, Meaning, bands
from app.rules.plans.limits import TemperatureLimit

from ..kitchen.checklists import ChecklistForm
from ..kitchen.confirming import Asked, Pad
from ..kitchen.jobs import Job, SpitLine, Urgency
from ..kitchen.meanwhile_lines import Line
from ..kitchen.readings import ReadingForm
from ..kitchen.receivers import Receiver
from ..kitchen.set_aside import AsideLine, Way
from ..signin.saver import Name


class PatternsForm(ChecklistForm, ReadingForm):
    """One field of each sort; it is never sent."""

    temperature = StringField(_l("Temperature"), default="156")
    place = RadioField(_l("Place"), choices={"breast": "breast", "thigh": "thigh"}, default="breast")
    method = RadioField(_l("Method"), choices={"ice": "ice point", "boiling": "boiling point"}, default="ice")
    adjusted = BooleanField(_l("The probe was adjusted"))
    reason = StringField(_l("Reason"))
    birds = StringField(_l("Birds"), default="6")
    bird = RadioField(_l("Bird"), choices={str(bird): str(bird) for bird in range(1, 6)}, default="3")
    tray = RadioField(_l("Tray"), choices={"": "new tray T13", "A-T11": "A-T11", "A-T12": "A-T12"}, default="")
    cause = TextAreaField(_l("What caused it"))
    action = TextAreaField(_l("What was done"))
    prevention = TextAreaField(_l("How to stop it happening again"))
    cause_phrase = RadioField(choices={"The unit was too cool.": "The unit was too cool."}, validate_choice=False)
    action_phrase = RadioField(choices={"Thrown away.": "Thrown away."}, validate_choice=False)
    prevention_phrase = RadioField(choices={"Keep the door shut.": "Keep the door shut."}, validate_choice=False)
    own_password = StringField(_l("Your password"))


NAMES = (
    Name(login="wren", name="Wren Abara", has_pin=True, is_near=True),
    Name(login="tomas", name="Tomas Lindqvist", has_pin=True, is_near=False),
    Name(login="noor", name="Noor Haddad", has_pin=False, is_near=False),
)
RECEIVERS = (
    Receiver(name="A-T11", says="2 birds, pass", state=""),
    Receiver(name="A-T12", says="4 birds, pass, set aside", state="set aside"),
)
ASIDE = AsideLine(
    title="Tray T12",
    href="#aside",
    why="At 3:36 pm it was at 129 °F, out of temperature for 4 h.",
    since="3:36 pm",
    ways=(Way("Throw away", "#aside"), Way("Release it", "#aside")),
    other="#aside",
    others=(Way("Into another tray", "#aside"),),
)
CHART = Chart(
    title="Tray T12: 2 readings, limit 135 °F.",
    draw=lambda shape: (
        f'<svg viewBox="0 0 {shape.width} 40" aria-hidden="true"><path d="M0 5L{shape.width} 35" '
        'stroke="currentColor" fill="none"/></svg>'
    ),
    tabulate=lambda: Table(("seen at", "°F"), (("2:10 pm", "148"), ("3:36 pm", "129"))),
)
CHART_PLACE = {"kind": "tray", "name": "A-T12", "stands_out": False, "link": "Chart of tray T12"}
MEANWHILE = (
    (
        Line("Bird 2 was read at 6:41 pm by Wren Abara: 166 °F."),
        Line("Bird 1 was read at 6:40 pm by Noor Haddad: 168 °F."),
    ),
    (Line("No bird is left on this spit. Pulled at 6:42 pm by Wren Abara into tray T4.", is_gone=True),),
)
CHECKS = {item: words.check_words(item) for item in ("water", "grease")}


def number_bands(unit: str) -> Bands:
    """Give what any number on a pad for cooking would mean, in °F or °C."""
    low = Meaning(code="keep_cooking", verdict=Verdict.NOT_MET, limit=_LIMIT, source=_SOURCE)
    good = Meaning(code="at_or_above", verdict=Verdict.MET, limit=_LIMIT, source=_SOURCE)
    return bands(unit, low, [(_DEGREES[unit], good)])


_DEGREES = {"F": Decimal(165), "C": Decimal(74)}
_LIMIT, _SOURCE = TemperatureLimit(**_DEGREES), "FDA Food Code 2022, 3-401.11"
PAD = Pad()
ASKED = Asked(reading=Temperature(Decimal(74), "F"), questions=(Question("other_unit"),))


def findings(now: datetime, day: date) -> Sequence[Finding]:
    """Give a check that is not recorded, of a tray that is nowhere."""
    rule = "hold.check_interval"
    missed = Finding(
        key=f"{rule}:tray:A-T12:0",
        rule=rule,
        subject=Subject("tray", "A-T12"),
        verdict=Verdict.NOT_SHOWN,
        concerns=Concern.MONITORING,
        day=day,
        onset_at=now - timedelta(hours=1),
        found_at=now,
        ended_at=None,
        entries=(),
        measured={},
        limit={},
        source="",
        dispositions=(),
    )
    return [missed]


def entries(now: datetime) -> Sequence[Entry]:
    """Give an entry, one that was written late, and one that was corrected."""
    return [
        _hold_reading("150", now, number=0, late=False),
        _hold_reading("148", now, number=1, late=True),
        _hold_reading("129", now, number=2, late=False, amends="sample-0", amend_reason="Typed wrong."),
    ]


def answers(now: datetime, finding: Finding) -> tuple[Entry, Released]:
    """Give a corrective action that was not carried out yet, and a release of food."""
    own: dict[str, object] = {"person": "wren", "via": "session", "findings": [finding.key]}
    own |= {"observed_at": now.isoformat(), "recorded_at": now.isoformat(), "late": False}
    said = {"cause": "Late.", "action": "Put apart.", "disposition": "hold_for_evaluation", "prevention": "A timer."}
    action = entry_of({"kind": "corrective_action", "seq": 3, "id": "sample-3", **own, **said}, root_seq=3, root="")
    basis = {"basis": "Read again with another probe: 150 °F."}
    release = entry_of({"kind": "release", "seq": 4, "id": "sample-4", **own, **basis}, root_seq=4, root="")
    return action, Released(cast(Release, release), finding)


def _hold_reading(degrees: str, now: datetime, *, number: int, **more: object) -> Entry:
    own_id = f"sample-{number}"
    body = {"kind": "hold_reading", "seq": number, "id": own_id, "person": "wren", "via": "session"}
    body |= {"observed_at": now.isoformat(), "recorded_at": now.isoformat(), "tray": "A-T12", "probe": "blue"}
    return entry_of({**body, "temperature": degrees, "unit": "F", **more}, root_seq=number, root=own_id)


def _reading(value: str) -> Temperature:
    return Temperature(Decimal(value), "F")


ROD = Rod(
    spit=2,
    birds=(
        BirdDrawn(bird=1, reading=_reading("166.8"), state="good"),
        BirdDrawn(bird=2, reading=_reading("158"), state="low"),
        BirdDrawn(bird=3, reading=None, state="unread"),
        BirdDrawn(bird=4, reading=None, state="gone"),
        BirdDrawn(bird=5, reading=None, state="unread"),
    ),
)


def _at(hour: int, minute: int) -> datetime:
    return datetime(2026, 1, 1, hour, minute, tzinfo=UTC)


LINES = (
    TimeLine(
        ticks=(
            Tick(x=0, kind="opened", at=_at(12, 0)),
            Tick(x=250, kind="hot", at=_at(13, 0)),
            Tick(x=1000, kind="due", at=_at(16, 0)),
        ),
        out=None,
        unknown=None,
        now=700,
    ),
    TimeLine(
        ticks=(Tick(x=0, kind="opened", at=_at(12, 0)), Tick(x=500, kind="due", at=_at(13, 30))),
        out=None,
        unknown=(500, 1000),
        now=1000,
    ),
    TimeLine(
        ticks=(
            Tick(x=0, kind="opened", at=_at(12, 0)),
            Tick(x=300, kind="low", at=_at(13, 0)),
            Tick(x=500, kind="mark", minutes=120),
            Tick(x=1000, kind="end", at=_at(16, 0)),
        ),
        out=(0, 400),
        unknown=None,
        now=400,
    ),
)
"""In time; overdue, nothing known since; out of temperature, with its first mark and its end."""


_SPITS = ((Verdict.PENDING, "keep cooking", None), (Verdict.MET, "at the limit", "#jobs"))


def jobs(now: datetime) -> Sequence[Job]:
    """Give lines of the first page: food that is lost soon, an overdue check that is silenced, an oven."""
    return [
        Job(
            verdict=Verdict.NOT_MET,
            urgency=Urgency.RUNNING_OUT,
            is_loss=True,
            at=now,
            title="Tray T12: serve, reheat or chill. Throw away at 4:00 pm",
            when="21 min",
            when_small="then throw away",
            reading="129 °F",
            says="at 3:36 pm · 4 birds · pass",
            href="#jobs",
            label="Empty it",
            time_line=LINES[2],
            alarm=Alarm("tray", "A-T12", "throw_away"),
        ),
        Job(
            verdict=Verdict.PENDING,
            urgency=Urgency.NOW,
            at=now,
            href="#jobs",
            title="Tray T11: check the temperature",
            when="2 h",
            when_small="due 1:38 pm",
            says="not checked yet · 2 birds",
            means="Temperature unknown since 1:38 pm, last known hot 12:06 pm.",
            label="Check",
            time_line=LINES[1],
            silenced="Silenced by Wren Abara at 3:30 pm: Coming.",
        ),
        Job(
            verdict=Verdict.PENDING,
            urgency=Urgency.NOW,
            at=now,
            href="#jobs",
            title="West oven: cooking",
            when="8 min",
            when_small="ready about 3:47 pm",
            says="load L2, in since 2:13 pm",
            label="Probe",
            spits=tuple(
                SpitLine(rod=ROD, verdict=verdict, says=says, probe="#jobs", pull=pull)
                for verdict, says, pull in (
                    (Verdict.PENDING, "keep cooking", None),
                    (Verdict.MET, "at the limit", "#jobs"),
                )
            ),
        ),
    ]
