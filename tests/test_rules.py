"""Every rule is known wherever rules have to be known; what one lacks is named. A new one takes two files."""

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from app import words
from app.rules.day.judge import DECLARING
from app.rules.day.lateness import AT_LEAST, SHARE
from app.rules.day.patterns import EARLY_WITHIN, JUMP_OVER, JUMP_WITHIN, SEEN_OVER, TOGETHER, WRITTEN_WITHIN
from app.rules.day.registry import RULES, Rule
from app.rules.facts import Verdict
from app.rules.meaning.asking import HOTTEST
from app.rules.plans.limits import GROUPS
from app.rules.plans.settings import SETTINGS
from app.rules.subjects.probe_checks import VALID_FOR
from app.rules.subjects.runs import LOOK_AGAIN
from app.rules.subjects.time_start import LAST_READING
from app.words import subjects
from app.words import ways as way_words
from app.words.findings.saying import WORDS
from tests.support import checkout

ROOT = checkout.ROOT
MINUTE = timedelta(minutes=1)
TABLES = {name: (ROOT / "docs" / name).read_text("utf-8") for name in ("rules.md", "glossary.md")}
TESTS = "".join(path.read_text("utf-8") for path in (ROOT / "tests").glob("**/test_*.py") if path != Path(__file__))


def lacking(rule: Rule) -> list[str]:
    """Name what a rule lacks; nothing for one that is complete."""
    ways = {name for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN) for name in rule.dispositions[verdict]}
    ways |= {name for named in rule.by_subject.values() for name in named}
    asked = [("words", rule.name in WORDS), ("what it says", bool(rule.says)), ("entries it reads", bool(rule.reads))]
    asked += [("source", bool(rule.limits or rule.source)), ("group", rule.group is None or rule.group in GROUPS)]
    asked += [("reach", bool(rule.reach)), ("test", f'"{rule.name}"' in TESTS)]
    asked += [(f"docs/{name}", f"| `{rule.name}` |" in text) for name, text in TABLES.items()]
    asked += [(f"limit {name}", name in SETTINGS) for name in rule.limits]
    asked += [(f"word of {way}", way in way_words._DISPOSITIONS) for way in ways]
    asked += [(f"word of a {kind}", kind in (*subjects._SUBJECTS, "spit", "checklist")) for kind in rule.subjects]
    return [what for what, found in asked if not found]


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES.keys())
def test_a_rule_is_complete(rule: Rule) -> None:
    assert lacking(rule) == []


def test_what_a_rule_lacks_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(WORDS, "hold.unit")
    bare = replace(RULES["hold.unit"], reach=frozenset(), limits=("no_such_limit",))
    assert lacking(bare) == ["words", "reach", "limit no_such_limit"]


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("hold.unit", f"next {LOOK_AGAIN // timedelta(minutes=1)} min"),
        ("cold.temperature", f"next {LOOK_AGAIN // timedelta(minutes=1)} min"),
        ("time_control.start", f"at most {LAST_READING // timedelta(minutes=1)} min before"),
        ("probe.check_due", f"in the {VALID_FOR // timedelta(hours=1)} h before"),
        ("record.late", f"At least {AT_LEAST} of"),
        ("record.late", {4: "more than a quarter"}[SHARE]),
    ],
)
def test_what_a_rule_says_has_the_numbers_it_goes_by(rule: str, said: str) -> None:
    assert said in RULES[rule].says


RULES_PAGE = TABLES["rules.md"]
SAID_OF_FOOD = {
    "cook on": "continue_cooking",
    "reheat": "reheat",
    "chill": "chill",
    "search": "search_for_foreign_body",
    "discard": "discard",
    "release": "hold_for_evaluation",
}
"""How the page calls what may become of food that is set aside."""


def rows_of_food_set_aside() -> list[tuple[list[str], str]]:
    """Give the rules that each row of the table names, and what it says may be done."""
    section = RULES_PAGE.partition("## Food set aside\n")[2].partition("\n## ")[0]
    rows = [line.strip("| ").split(" | ") for line in section.splitlines() if line.startswith("| ")][1:]
    return [(re.findall(r"`([a-z_]+\.[a-z_]+)`", finding), done) for _food, finding, done in rows]


def test_the_table_of_food_set_aside_has_the_rules_that_set_it_aside() -> None:
    named = [rule for rules, _done in rows_of_food_set_aside() for rule in rules]
    assert sorted(named) == sorted(rule.name for rule in RULES.values() if rule.sets_aside)


@pytest.mark.parametrize(("rules", "done"), rows_of_food_set_aside())
def test_what_may_become_of_food_set_aside_is_what_its_rules_declare(rules: list[str], done: str) -> None:
    said = {way for word, way in SAID_OF_FOOD.items() if word in done}
    for rule in map(RULES.__getitem__, rules):
        verdicts = (Verdict.NOT_MET, Verdict.NOT_SHOWN)
        ways = {way for kind in rule.sets_aside for one in verdicts for way in rule.dispositions_for(one, kind)}
        assert ways == said, rule.name


@pytest.mark.parametrize(
    "said",
    [
        f"`written_together`: {TOGETHER} or",
        f"written within {WRITTEN_WITHIN // MINUTE} min although seen over an hour or more",
        f"at most {JUMP_WITHIN // MINUTE} min and over {JUMP_OVER['F']} °F ({JUMP_OVER['C']} °C) apart",
        f"at the limit less than {EARLY_WITHIN // MINUTE} min after its spit was last loaded",
        f"over {HOTTEST['F']} °F ({HOTTEST['C']} °C)",
    ],
)
def test_the_page_has_the_numbers_of_the_patterns(said: str) -> None:
    assert said in " ".join(RULES_PAGE.split())
    assert SEEN_OVER == 60 * MINUTE


def test_the_glossary_names_every_group_of_controls() -> None:
    (row,) = [line for line in TABLES["glossary.md"].splitlines() if "**group of controls**" in line]
    assert [group for group in GROUPS if words.group_word(group) not in row] == []


def test_the_guide_names_every_module_that_declares_rules() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    (row,) = [line for line in guide.splitlines() if line.startswith("| what the records mean |")]
    declaring = {module.__name__.rpartition(".")[2] for module in DECLARING}
    assert declaring <= set(re.findall(r"\w+", row))


RULE = '''

from ..history.origins import what_was_pulled


@rule(
    "load.weighed",
    group="cooking",
    each=Each.LOAD,
    subjects=("load",),
    reads=(LoadStarted, SpitLoaded),
    reach=(FOOD,),
    source="birds are weighed before they are loaded: house",
    sets_aside=("load",),
    food=what_was_pulled,
    not_met=("none", "discard", "hold_for_evaluation"),
)
def report_unweighed(judged: Judged, load: holders.Load) -> None:
    """Birds were loaded without a weight: not shown, once a load."""
    loadings = [entry for spit in load.spits.values() for entry in spit.loadings()]
    unweighed = [entry for entry in loadings if entry.mean_weight is None]
    if unweighed:
        judged.report.add(
            "load.weighed",
            judged.report.subject("load", load.name),
            Verdict.NOT_SHOWN,
            opener=unweighed[0],
            rests_on=unweighed[1:],
            measured={"spits": len(unweighed)},
            plan=load.plan,
        )
'''
WORDING = """

@says("load.weighed", N_("birds weighed"))
def _weighed(context: FindingContext) -> str:
    return _("Of %(spits)s spits no weight was written down.", spits=context.measured["spits"])
"""
TEST = """
from pathlib import Path

from flask import Flask

from app import logs
from app.db import Database
from tests.support import cast, printed_day
from tests.support.browsing import Browser
from tests.support.drafts import finding, keep, mending, ordinary_day

SAYS = "Load A-L1, birds weighed: not recorded"
WHY = "Of 1 spits no weight was written down."


def test_it_is_found_shown_answered_and_set_aside(database: Database, browser: Browser) -> None:
    keep(database, *ordinary_day()[:-1])
    key = finding(database, "load.weighed")
    pat = browser.sign_in("pat")
    day = pat.get(f"/day/{cast.DAY.isoformat()}")
    assert SAYS in day.words and WHY in day.words
    assert "birds are weighed before they are loaded: house" in day.words
    act = pat.get(f"/findings/act?finding={key}")
    assert WHY in act.words and "hold for evaluation" in act.words
    tray = pat.get("/trays/A-T1")
    assert "Set aside: do not serve" in tray.words and WHY in tray.words


def test_it_stands_on_paper(app: Flask) -> None:
    with app.app_context():
        log = logs.log_html(printed_day.assessment(), head=printed_day.HEAD)
    assert "Load A-L1, birds weighed: not recorded" in log and WHY in log


def test_what_a_mending_makes_go_away_is_told(database: Database, browser: Browser) -> None:
    first = ordinary_day()
    loaded = next(draft for draft in first if draft["kind"] == "spit_loaded")
    keep(database, *first)
    keep(database, mending(loaded, mean_weight="3.2", weight_unit="lb"))
    day = browser.sign_in("pat").get(f"/day/{cast.DAY.isoformat()}")
    assert SAYS in day.words and "corrected" in day.words


def test_it_stands_in_the_documents() -> None:
    for page in ("rules.md", "glossary.md"):
        assert "| `load.weighed` | " in Path("docs", page).read_text("utf-8")
    assert "Birds were loaded without a weight: not shown, once a load." in Path("docs/rules.md").read_text("utf-8")
"""


def test_a_rule_is_added_in_its_declaration_and_its_words(tmp_path: Path) -> None:
    copy = checkout.copy_to(tmp_path)
    checkout.add(copy, {"app/rules/subjects/loads.py": RULE, "app/words/findings/cooking.py": WORDING})
    checkout.run(copy, "-m", "docs.list_rules")
    checkout.run_test(copy, "tests/web/test_load_weighed.py", TEST)
