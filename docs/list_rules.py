"""Writes the tables of docs/ that rules and kinds declare. Run: python -m docs.list_rules

A table stands between `<!-- NAME -->` and `<!-- /NAME -->`; what is around it is written by hand.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from itertools import groupby
from pathlib import Path

import app.rules.day.judge  # noqa: F401  # declares every rule
from app import words
from app.kinds import KINDS
from app.rules.day.registry import RULES, Rule, reaches
from app.rules.facts import Concern, Verdict
from app.rules.plans.limits import GROUPS
from app.rules.plans.plan import DEFAULT_CODE, Provenance, limits_on

_PROVENANCES = limits_on(DEFAULT_CODE, {}, date(2026, 1, 1))[1]

FOLDER = Path(__file__).parent
PAGES = ("rules.md", "glossary.md")


def with_tables(text: str) -> str:
    """Give a page with its tables as the declarations have them now."""
    for name, table in _TABLES.items():
        between = f"<!-- {name} -->\n\n{table()}\n<!-- /{name} -->"
        text = re.sub(rf"<!-- {name} -->.*?<!-- /{name} -->", lambda _found, new=between: new, text, flags=re.DOTALL)
    return text


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(cells)} |\n" for cells in lines)


def _in_order() -> list[Rule]:
    """Give the rules group by group, those that are always on at the end."""
    return sorted(RULES.values(), key=lambda one: (GROUPS.index(one.group) if one.group else len(GROUPS), one.name))


def _meaning() -> str:
    head = ("rule", "what it says", "limits", "source")
    groups = groupby(_in_order(), key=lambda one: one.group)
    rows = (row for group, rules in groups for row in (_heading(group), *map(_meaning_of, rules)))
    return _table(head, rows)


def _heading(group: str | None) -> Sequence[str]:
    said = f"**{words.sentence_start(words.group_word(group))}** (`{group}`)" if group else "**Always**"
    return (said, "", "", "")


def _meaning_of(rule: Rule) -> Sequence[str]:
    limits = ", ".join(f"`{name}`" for name in rule.limits)
    of_limits = (_short(_PROVENANCES[name]) for name in rule.limits)
    sources = dict.fromkeys(source for source in (*of_limits, rule.source) if source)
    return (f"`{rule.name}`", rule.says, limits, "; ".join(sources))


def _short(limit: Provenance) -> str:
    """Give where a limit comes from: its section of the code; of a house rule that it is one."""
    if limit.kind == "house":
        return f"house{limit.source.partition(': house')[2]}"
    return limit.source.replace("FDA Food Code 2022, ", "Food Code ").partition(":")[0]


def _declared() -> str:
    head = ("rule", "group", "about a", "concerns", "sets aside", "what may become of the food", "reaches")
    return _table(head, (_row(rule) for rule in _in_order()))


def _row(rule: Rule) -> Sequence[str]:
    return (
        f"`{rule.name}`",
        f"`{rule.group}`" if rule.group else "always",
        ", ".join(rule.subjects),
        _concerns(rule),
        ", ".join(sorted(rule.sets_aside)) or "–",
        _dispositions(rule),
        ", ".join(sorted(reach.name for reach in rule.reach)),
    )


def _concerns(rule: Rule) -> str:
    found = {verdict: words.concern_word(_concern(rule, verdict)) for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN)}
    if len(set(found.values())) == 1:
        said = found[Verdict.NOT_MET]
    else:
        said = "; ".join(f"{words.verdict_word(verdict)}: {said}" for verdict, said in found.items())
    if not rule.sets_aside or rule.sets_aside.issuperset(rule.subjects):
        return said
    return f"{said}; of food that it sets aside: {words.concern_word(Concern.CRITICAL_LIMIT)}"


def _concern(rule: Rule, verdict: Verdict) -> Concern:
    """Give what a finding is about; where it sets aside the food of each of its subjects, always a critical limit."""
    is_aside = all(rule.can_set_aside(verdict, kind) for kind in rule.subjects)
    return Concern.CRITICAL_LIMIT if is_aside else rule.concern(verdict)


def _dispositions(rule: Rule) -> str:
    if rule.by_subject:
        ways = {**rule.by_subject, "else": rule.dispositions[Verdict.NOT_SHOWN]}
        return "; ".join(f"{kind}: {', '.join(map(words.disposition_word, named))}" for kind, named in ways.items())
    found = {verdict: ", ".join(map(words.disposition_word, ways)) for verdict, ways in rule.dispositions.items()}
    if len(set(found.values())) == 1:
        return next(iter(found.values())) or "–"
    return "; ".join(f"{words.verdict_word(verdict)}: {said or '–'}" for verdict, said in found.items())


def _reaches() -> str:
    return _table(("reach", "what an entry can change"), ((one.name, one.says) for one in reaches()))


def _rules() -> str:
    return _table(("rule", "words"), ((f"`{one.name}`", words.rule_word(one.name)) for one in _in_order()))


def _kinds() -> str:
    return _table(("kind", "words"), ((f"`{name}`", words.kind_word(name)) for name in KINDS))


_TABLES: Mapping[str, Callable[[], str]] = {
    "meaning": _meaning,
    "declared": _declared,
    "reaches": _reaches,
    "rules": _rules,
    "kinds": _kinds,
}


def write() -> None:
    """Write the tables of every page anew."""
    for page in PAGES:
        path = FOLDER / page
        path.write_text(with_tables(path.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    write()
