"""Every code that people meet has words, and no word says more than the records do."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from app import words
from app.kinds import KINDS, Subject
from app.kinds.every_entry import FORMS
from app.rules.facts import Concern, Status, Verdict
from app.rules.plans import limits as plan_limits
from app.rules.plans import plan
from app.rules.plans import settings as plan_settings
from app.words.findings.saying import WORDS
from tests.support import cast

ROOT = Path(__file__).parents[2]
LIMITS = plan.resolve(cast.ADOPTED, cast.DAY)

# The rules by the names under which other programs know them.
RULES = [
    "cook.core_temperature",
    "ties.balance",
    "start.checks",
    "lot.known",
    "lot.rejected",
    "cook.interrupted",
    "hold.temperature",
    "hold.time_out",
    "hold.check_interval",
    "hold.disposition",
    "time_control.returned",
    "time_control.start",
    "time_control.mark",
    "time_control.procedure",
    "time_control.discard",
    "cool.first_stage",
    "cool.total",
    "date_mark.passed",
    "reheat.temperature",
    "reheat.dwell",
    "reheat.time",
    "cold.temperature",
    "hold.unit",
    "cold.check_interval",
    "receive.temperature",
    "probe.accuracy",
    "probe.check_due",
    "probe.out_of_use",
    "probe.review",
    "birds.balance",
    "record.sign_off_due",
    "record.late",
    "checklist.done",
    "action.done",
    "aside.left",
]


def test_the_rules_keep_the_names_that_others_know() -> None:
    assert set(RULES) <= set(WORDS)


def test_every_rule_that_a_plan_gives_dispositions_for_has_words() -> None:
    assert set(LIMITS.dispositions) <= set(RULES)


def _codes() -> Iterator[tuple[Callable[[str], str], str]]:
    yield from ((words.kind_word, kind) for kind in KINDS)
    yield from ((words.group_word, group) for group in plan_limits.GROUPS)
    yield from ((words.setting_word, name) for name in plan_settings.SETTINGS)
    yield from ((words.disposition_word, name) for names in LIMITS.dispositions.values() for name in names)
    yield from ((words.to_word, name) for band in LIMITS.bands.values() for name in band.ways_out)
    yield from ((words.band_word, band) for band in LIMITS.bands)
    yield from ((words.provenance_word, kind) for kind in ("law", "model_code", "guidance", "house"))
    yield from ((words.role_word, role) for role in ("cook", "in_charge", "inspector"))
    yield from ((words.equipment_word, kind) for kind in ("oven", "hot_unit", "cold_unit", "probe"))
    yield from ((words.verdict_word, verdict) for verdict in Verdict)
    yield from ((words.concern_word, concern) for concern in Concern)
    yield from ((words.status_word, status) for status in Status)


@pytest.mark.parametrize(("word", "code"), list(dict.fromkeys(_codes())))
def test_every_code_has_a_word(word: Callable[[str], str], code: str) -> None:
    assert word(code)
    assert "_" not in word(code)


@pytest.mark.parametrize(
    "item", [*LIMITS.limits.start_checks, *LIMITS.limits.opening_checks, *LIMITS.limits.closing_checks]
)
def test_every_check_of_the_plan_says_why(item: str) -> None:
    said = words.check_words(item)
    assert said.title != item
    assert said.why


def test_a_check_that_the_kitchen_made_up_is_shown_as_it_is() -> None:
    assert words.check_words("fryer_lid") == words.CheckWords("fryer_lid", "fryer_lid", "", "")


def test_the_start_checks_carry_the_cautions_on_burns_and_grease_fire() -> None:
    said = " ".join(words.check_words(item).caution for item in LIMITS.limits.start_checks)
    assert all(word in said for word in ("burn", "grease fire", "never water", "gas"))


@pytest.mark.parametrize("code", plan.codes())
def test_every_value_of_every_code_has_words(code: str) -> None:
    resolved = plan.resolve(replace(cast.ADOPTED, code=code), cast.DAY)
    assert all(words.setting_value(resolved.limits, name) for name in plan_settings.SETTINGS)
    codes = {to for band in resolved.bands.values() for to in (*band.ways_out, *band.dispositions)}
    assert not [code for code in codes if "_" in words.to_word(words.disposition_word(code))]
    assert not [source for source in resolved.sources.values() if "_" in words.provenance_word(source.kind)]


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("cook_core", "165\u00a0°F / 74\u00a0°C"),
        ("check_interval_min", "1 h 30 min"),
        ("reheat_dwell_s", "15 s"),
        ("probe_tolerance_c", "±1\u00a0°C"),
        ("probe_tolerance_f", "±2\u00a0°F"),
        ("day_starts", "04:00"),
        ("places_per_bird", "breast"),
        ("time_control_procedure", "none named"),
    ],
)
def test_a_setting_is_shown_with_its_unit(name: str, shown: str) -> None:
    assert words.setting_value(LIMITS.limits, name) == shown


def test_a_subject_stands_in_a_sentence() -> None:
    assert words.subject_words(Subject("spit", "A-L1", 2)) == "spit 2 of load A-L1"
    assert words.sentence_start(words.subject_words(Subject("tray", "A-T1"))) == "Tray A-T1"


ERRORS = [
    ("probe", "unknown", {"value": "red"}, "There is no probe called red here."),
    ("tray", "missing", {}, "Tray: this is needed."),
    ("bird", "range", {"low": 1, "high": 6}, "Bird: from 1 to 6."),
    ("temperature", "range", {"low": Decimal(-60), "high": 600}, "Temperature: from −60 to 600."),
    ("role", "range", {"allowed": ("cook", "in_charge")}, "Role: choose one of: cook, person in charge."),
    ("note", "range", {"high": 1000}, "Note: at most 1000 characters."),
    (
        "birds",
        "order",
        {"why": "more_out", "left": Decimal("2.25")},
        "Only 2¼ left here. Count again, or record first where the others came from.",
    ),
    ("tray", "order", {"why": "no_opener"}, "There is no tray of that name yet at that time."),
    (
        "cook_core",
        "type",
        {"expected": "165F/74C"},
        "Core temperature when pulled, at least: write it like this: 165F/74C.",
    ),
    ("", "type", {"expected": "object"}, "Entry: write it like this: an object with the entry's fields."),
]


@pytest.mark.parametrize(("field", "code", "values", "message"), ERRORS)
def test_a_refusal_says_at_its_field_what_to_do(field: str, code: str, values: dict[str, object], message: str) -> None:
    assert words.error_words(field, code, values) == message


CODES = [
    "missing",
    "type",
    "range",
    "unknown",
    "differs",
    "future",
    "order",
    "forbidden",
    "together",
    "taken",
    "retired",
    "last",
    "not_behind",
    "moved",
    "weak",
    "looser",
    "wrong",
    "blocked",
]


@pytest.mark.parametrize("field", ["", "birds", "amends", "checks.water", "pin", "no_such_field"])
@pytest.mark.parametrize("code", [*CODES, "a_code_of_tomorrow"])
def test_any_refusal_gives_a_sentence(field: str, code: str) -> None:
    said = words.error_words(field, code)
    assert said.endswith((".", "!"))
    assert "None" not in said


def test_every_field_of_every_kind_has_a_word() -> None:
    fields = {name for kind in FORMS.values() for name in kind.all_fields()}
    assert not [name for name in fields if words.field_word(name) == name and "_" in name]


@pytest.mark.parametrize(
    ("word", "codes"),
    [
        (words.kind_word, tuple(KINDS)),
        (words.rule_word, tuple(RULES)),
        (words.setting_word, plan_settings.SETTINGS),
    ],
    ids=["kinds", "rules", "settings"],
)
def test_the_glossary_lists_every_code_with_its_words(word: Callable[[str], str], codes: tuple[str, ...]) -> None:
    glossary = (ROOT / "docs" / "glossary.md").read_text("utf-8")
    assert [code for code in codes if f"| `{code}` | {word(code)} |" not in glossary] == []
