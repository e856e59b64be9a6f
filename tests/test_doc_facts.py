"""What the pages of docs/ say of names, numbers, kinds, fields, settings and commands is what the program has."""

import re
import shlex
from datetime import timedelta
from pathlib import Path
from typing import Any

import click
import pytest
from flask import Flask
from flask.cli import FlaskGroup

from app import create_app, words
from app.api.entries import MOST_ENTRIES
from app.kinds import KINDS
from app.kinds.every_entry import OF_TABLETS, SET_BY_SERVER
from app.kinds.permissions import ROLES, KnownBy
from app.kinds.values import EPOCH, LAST_YEAR
from app.ledger.appending.moments import BEHIND_AT_MOST
from app.ledger.checks.callers import may_write
from app.ledger.checks.states import CLOCKS_DIFFER
from app.register import LARGEST_FILE, credentials, passwords, set_up_links, sign_ins
from app.register.throttle import FREE_FAILURES as FREE
from app.register.throttle import FREE_FOR_SENDERS, LAST_FAILURE, LONGEST_WAIT_S
from app.rules.facts import _SEVERITY, Verdict
from app.rules.lethality.conditions import HumidityWay
from app.rules.plans.limits import GROUPS
from app.server import drawings, patience, plan_effect, tls
from app.server.settings import _ENVIRONMENT, LARGEST_BODY
from app.server.spreadsheet import cells
from app.web.review import check_log, period, trend_days
from app.words import names, ways

ROOT = Path(__file__).parent.parent


def text_of(page: str) -> str:
    """Give a page of docs/ in one line."""
    return " ".join((ROOT / "docs" / page).read_text("utf-8").split())


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "docs"})


# ---- numbers ----

MINUTE = timedelta(minutes=1)
NUMBERS = [
    ("api.md", f"a list of 1 to {MOST_ENTRIES:,} entries, at most {LARGEST_BODY // 1024**2} MiB"),
    ("api.md", f"more than {CLOCKS_DIFFER // MINUTE} minutes ahead is `future`"),
    ("api.md", "within a minute, else 503" if drawings._LONGEST_WAIT_S == 60 else ""),
    ("commands.md", f"| days and instants | {EPOCH.year} to {LAST_YEAR} |"),
    ("commands.md", f"a log to be checked | {LARGEST_FILE // 1024**2} MiB; {check_log.LARGEST // 1024**2} MiB |"),
    (
        "commands.md",
        f"8 to {passwords.LONGEST:,} characters; {passwords.PIN_SHORTEST} to {passwords.PIN_LONGEST} digits",
    ),
    ("commands.md", f"valid (1 to {credentials.LONGEST_DAYS}, 90 when left out)"),
    ("commands.md", f"PINs of one login at one tablet | {FREE['login']} are free, then each asks"),
    ("commands.md", f"up to {LONGEST_WAIT_S // 60} minutes; after {LAST_FAILURE['login']} in a row"),
    ("commands.md", f"{FREE['total']} are free, then the same waits; after {LAST_FAILURE['total']} only a new one"),
    ("commands.md", f"names and passwords from one address | {FREE['names']} are free"),
    ("commands.md", f"wrong tokens from one address | {FREE_FOR_SENDERS} are free"),
    ("exporting.md", f"{cells.MANY} rows at a time ({cells.FEW} where each day is assessed)"),
    ("exporting.md", "any days up to two years" if period.LONGEST == 731 else ""),
    ("plans.md", f"(PDF, PNG, JPEG, at most {LARGEST_FILE // 1024**2} MB)"),
    ("commands.md", f"It opens once, within {set_up_links.LASTS // timedelta(hours=1)} hours"),
    ("commands.md", f"up to {BEHIND_AT_MOST.seconds} seconds behind the newest entry of a site"),
    ("ledger-format.md", f"up to {BEHIND_AT_MOST.seconds} seconds behind the newest entry"),
    ("plans.md", f"the last {plan_effect.DAYS} business days are judged"),
    ("security.md", "ended after half a minute" if patience.LISTENS_S == 30 else ""),
    ("security.md", "once in five minutes" if sign_ins._PASSWORD_COUNTS_FOR == 5 * MINUTE else ""),
    ("service.md", "for ten years" if tls.AUTHORITY_LASTS.days == 3650 else ""),
    ("service.md", f"lasts {tls.SERVER_LASTS.days} days"),
    ("trends.md", "Twenty days at most are made in one request" if trend_days.AT_MOST == 20 else ""),
    ("trends.md", "none is begun after a second" if trend_days._WITHIN_S == 1 else ""),
]


@pytest.mark.parametrize(("page", "said"), NUMBERS, ids=[f"{page}-{said[:30]}" for page, said in NUMBERS])
def test_a_number_on_a_page_is_the_programs(page: str, said: str) -> None:
    assert said, "the program has another number: write the sentence anew"
    assert said in text_of(page)


def test_a_proxy_lets_through_what_the_program_takes() -> None:
    (let_through,) = re.findall(r"client_max_body_size (\d+)m;", (ROOT / "docs" / "service.md").read_text("utf-8"))
    assert int(let_through) * 1024**2 > max(LARGEST_BODY, LARGEST_FILE, check_log.LARGEST)


def test_no_image_takes_records_keys_or_libraries_of_this_machine_along() -> None:
    left_out = (ROOT / ".dockerignore").read_text("utf-8").split()
    assert {"instance", ".venv"} <= set(left_out)
    assert "COPY . /opt/roast-ledger" in (ROOT / "docs" / "service" / "Containerfile").read_text("utf-8")


def test_every_group_of_controls_stands_on_the_page_of_plans() -> None:
    (row,) = re.findall(r"(?m)^\| `controls` \| .* \| (.+) \|$", (ROOT / "docs" / "plans.md").read_text("utf-8"))
    assert re.findall(r"`(\w+)`", row) == list(GROUPS)


# ---- settings ----

COMMANDS = (ROOT / "docs" / "commands.md").read_text("utf-8")
SETTINGS = dict(re.findall(r"(?m)^\| `([A-Z][A-Z0-9_]+)` \| ([^|]+) \|", COMMANDS))
ELSEWHERE = {"TLS": "read by gunicorn.conf.py"}


def test_every_setting_stands_on_the_page_of_commands_and_no_other() -> None:
    assert set(SETTINGS) - set(ELSEWHERE) == set(_ENVIRONMENT)


@pytest.mark.parametrize("name", _ENVIRONMENT)
def test_its_default_is_the_programs(app: Flask, name: str) -> None:
    default = app.config[name] if _ENVIRONMENT[name][1] is None else _ENVIRONMENT[name][1]
    written = SETTINGS[name].split("`")[1] if SETTINGS[name].startswith("`") else ""
    assert written == ("" if default == "" else str(int(default)) if isinstance(default, bool | int) else default)


# ---- commands ----


def typed_commands() -> list[tuple[str, str]]:
    """Give every command line of the program that stands in a block or in code marks, with its page."""
    found = []
    for page in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]:
        text = page.read_text("utf-8")
        lines = [line for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) for line in block.splitlines()]
        for line in [*lines, *re.findall(r"`([^`\n]+)`", text)]:
            _before, found_it, command = line.partition("flask --app app ")
            if found_it and command[:1].islower():
                found.append((page.name, command.partition(" | ")[0].partition("  #")[0]))
    return found


@pytest.mark.parametrize(("page", "line"), typed_commands(), ids=str)
def test_a_command_line_is_understood(app: Flask, page: str, line: str) -> None:
    name, *words = shlex.split(line)
    command = app.cli.commands[name]
    values = {"SITE": "S1", "LOGIN": "pat", "FILE": "backup.db"}
    with app.app_context():
        command.make_context(name, [values.get(word, word) for word in words], parent=click.Context(FlaskGroup()))


@pytest.mark.parametrize("row", re.findall(r"(?m)^\| `([a-z-]+ [^`]*\\\|[^`]*)` \|", COMMANDS))
def test_the_choices_of_a_command_are_all_named(app: Flask, row: str) -> None:
    name, *words = row.split()
    kinds = [param.type for param in app.cli.commands[name].params]
    choices = [list(kind.choices) for kind in kinds if isinstance(kind, click.Choice)]
    assert [word.split("\\|") for word in words if "|" in word] == [one for one in choices if len(one) > 1][:1]


def test_command_lines_are_found() -> None:
    assert len(typed_commands()) > 10


TARGETS = re.findall(r"(?m)^([a-z]+):", (ROOT / "Makefile").read_text("utf-8"))


@pytest.mark.parametrize(
    "page", ["README.md", "DEVELOPERS.md", "docs/service.md", "docs/commands.md", "docs/mutants.md"]
)
def test_every_target_of_make_is_there(page: str) -> None:
    text = (ROOT / page).read_text("utf-8")
    named = re.findall(r"(?m)(?:^|`)make ([a-z]+)", text)
    assert [name for name in named if name not in TARGETS] == []


# ---- the exchange format ----

API = (ROOT / "docs" / "api.md").read_text("utf-8")


def described(app: Flask) -> dict[str, Any]:
    """Give the OpenAPI document."""
    answer: dict[str, Any] = app.test_client().get("/api/v1/openapi.json").get_json()
    return answer


def fields_of(name: str, schemas: dict[str, Any]) -> set[str]:
    """Give the names of all properties in a schema, and in those that it refers to."""
    found, waiting, looked_at = set[str](), [schemas[name]], {name}
    while waiting:
        part = waiting.pop()
        if isinstance(part, dict):
            own = part.get("properties", {})
            found |= set(own) if "type" in part else set()
            name = str(part.get("$ref", "")).rpartition("/")[2]
            waiting += [*part.values(), *([schemas[name]] if name and name not in looked_at else [])]
            looked_at.add(name)
        elif isinstance(part, list):
            waiting += part
    return found


def test_every_field_of_a_days_answer_stands_on_the_page(app: Flask) -> None:
    schemas = described(app)["components"]["schemas"]
    named = fields_of("day", schemas)
    assert {"trays", "known_hot_at", "signer_name", "returned_to_oven"} <= named
    assert named - set(re.findall(r"\w+", API)) == set()


def test_every_status_that_is_described_stands_on_the_page(app: Flask) -> None:
    operations = [one for path in described(app)["paths"].values() for one in path.values() if "responses" in one]
    statuses = {status for one in operations for status in one["responses"]} - {"200"}
    assert {"400", "503"} <= statuses
    rows = [line.split("|")[1] for line in API.splitlines() if re.match(r"\| \d", line)]
    assert statuses - set(re.findall(r"\d+", " ".join(rows))) == set()


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("known_by", [KnownBy.TOKEN, KnownBy.TABLET])
def test_the_kinds_that_nobody_may_post_with_that_are_named(role: str, known_by: KnownBy) -> None:
    row = re.search(rf"(?m)^\| `{role}` \| (.+) \| (.+) \|$", API)
    assert row is not None
    refused = [kind for kind in KINDS if not may_write(kind, role, known_by)]
    said = row[1 if known_by is KnownBy.TOKEN else 2]
    assert re.findall(r"`(\w+)`", said) == ([] if len(refused) == len(KINDS) else refused)
    assert said.startswith("none") == (len(refused) == len(KINDS))


# ---- the ledger's format ----


def test_every_field_of_every_entry_stands_on_the_page_of_the_format() -> None:
    cells = re.findall(r"(?m)^\| ([^|]+) \|", (ROOT / "docs" / "ledger-format.md").read_text("utf-8"))
    named = set(re.findall(r"`(\w+)`", " ".join(cells)))
    every = {*SET_BY_SERVER, *(field.name for field in OF_TABLETS), "id", "kind", "observed_at", "note", "amends"}
    assert every - named - {"hash"} == set()


def test_the_humidity_of_a_table_is_met_in_the_ways_that_the_page_names() -> None:
    (row,) = re.findall(r"(?m)^\| `cook_humidity` \| none \| .*: (.+) \|$", (ROOT / "docs/plans.md").read_text("utf-8"))
    assert re.findall(r"`(\w+)`", row) == list(HumidityWay)


# ---- the glossary ----

GLOSSARY = text_of("glossary.md")
_NAMED = {
    "verdicts": names._VERDICTS,
    "statuses": names._STATUSES,
    "bands": names._BANDS,
    "methods": names._METHODS,
    "roles": names._ROLES,
    "equipment": names._EQUIPMENT,
    "dispositions": ways._DISPOSITIONS,
}


@pytest.mark.parametrize(
    "named",
    [
        names._VERDICTS,
        names._STATUSES,
        names._BANDS,
        names._METHODS,
        names._ROLES,
        names._EQUIPMENT,
        ways._DISPOSITIONS,
    ],
    ids=_NAMED,
)
def test_what_people_read_of_a_code_stands_in_the_glossary(named: dict[str, str]) -> None:
    assert [said for said in named.values() if not re.search(rf"\b{re.escape(said)}\b", GLOSSARY)] == []


def test_every_way_and_every_reason_of_birds_stands_in_the_glossary_with_its_words() -> None:
    assert [to for to, said in ways._TO.items() if f"| `{to}` | {said}" not in GLOSSARY] == []
    (row,) = re.findall(r"\| `discarded` \| .*?: (.*?) \|", GLOSSARY)
    assert row.split(", ") == list(ways._REASONS.values())


def test_the_verdicts_stand_in_the_glossary_with_the_worst_first() -> None:
    severest = sorted(Verdict, key=_SEVERITY.__getitem__, reverse=True)
    assert f"The worst wins: {', '.join(map(words.verdict_word, severest))}." in GLOSSARY
