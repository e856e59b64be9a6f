"""The routes of the app, as docs/access.md lists them: who may open which, and the path with its places filled in."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from flask import Flask, url_for
from werkzeug.routing import Rule

ACCESS = Path(__file__).parent.parent.parent / "docs" / "access.md"

Row = tuple[str, str]
"""A method and a route."""

_NUMBERS = {"plan.version": 1}
"""A number is that of a plan version, or of a credential: 2 is one of S1 alone, and a token of nobody who walks."""

_ABOUT_A_FINDING = {"findings.act": "finding", "releasing.release": "releasable"}
"""Routes that are told in their query which finding they are about."""


def read_table() -> dict[Row, dict[str, str]]:
    """Give the table of docs/access.md: method and route, then what it takes and the outcome for each visitor."""
    table = ACCESS.read_text("utf-8").partition("| Route |")[2]
    head, *lines = [[cell.strip() for cell in line.split("|")] for line in table.splitlines() if line]
    rows = {tuple(line[1].strip("`").split(" ")): line[2:] for line in lines[1:]}
    return {(method, route): dict(zip(head, cells, strict=False)) for (method, route), cells in rows.items()}


def walk(app: Flask) -> Iterator[tuple[Row, Rule]]:
    """Give every route of the app with each of its methods."""
    for rule in app.url_map.iter_rules():
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
            yield (method, rule.rule), rule


def path_of(app: Flask, rule: Rule, ids: Mapping[str, object]) -> str:
    """Give the path of a route; `ids` are the things that its places are filled with."""
    places: dict[str, Any] = {
        name: _NUMBERS.get(rule.endpoint, 2) if name == "number" else ids[name] for name in rule.arguments
    }
    if rule.endpoint in _ABOUT_A_FINDING:
        places["finding"] = ids[_ABOUT_A_FINDING[rule.endpoint]]
    with app.test_request_context():
        return url_for(rule.endpoint, **places)
