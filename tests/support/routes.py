"""The routes of the app, as docs/access.md lists them: who may open which, and the path with its places filled in."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from flask import Flask, url_for
from sqlalchemy.orm import Session
from werkzeug.routing import Rule

from app import register
from app.db import Database
from app.models import KeptLog, Site
from tests.support import cast
from tests.support.drafts import finding, keep, low_reading
from tests.support.files import a_pdf

ACCESS = Path(__file__).parent.parent.parent / "docs" / "access.md"

Row = tuple[str, str]
"""A method and a route."""

_NUMBERS = {"plan.version": 1}
"""A number is that of a plan version, or of a credential: 2 is one of S1 alone, and a token of nobody who walks."""

_ABOUT_A_FINDING = {"findings.act": "finding", "releasing.release": "releasable"}
"""Routes that are told in their query which finding they are about."""


NAMES = {
    "kind": "note",
    "name": "opening",
    "table": "days",
    "rule": "hold.temperature",
    "link": "guess",
    "step": "people",
    "filename": "style.css",
    "setting": "hot_holding",
    "part": "flow",
}
"""What places of a route are filled with that are the same in every kitchen."""


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


def things(database: Database) -> Mapping[str, object]:
    """Write a day of kitchen S1 down; give what the places of a route are filled with."""
    drafts = low_reading()[:-1]
    chilled = cast.draft("tray_out", at="11:30", to="chilled", birds="1", batch="A-B1")
    keep(database, *drafts, chilled, cast.draft("reheat_started", at="11:40", birds="0.5"), *_too_few_probed())
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.add_equipment(session, site, "probe", "red", at=cast.moment("12:00"))
        register.add_equipment(session, site, "cold_unit", "larder", at=cast.moment("12:00"))
        digest = _adopt_with_a_file(session, site)
        kept = {"covers_seq": 0, "after_seq": 0, "kept_seq": 1, "sha256": "", "pdf": a_pdf()}
        session.add(KeptLog(site_id=site.id, signed_seq=1, day=cast.DAY, made_at=cast.moment("12:00"), **kept))
        text, _of_another = (_link(session, site) for _ in range(2))  # the second one is the number 2 of the walk
    return {
        **NAMES,
        "site": "S1",
        "day": cast.DAY.isoformat(),
        "login": "robin",
        "code": "red",
        "entry_id": drafts[9]["id"],
        "load": "A-L1",
        "tray": "A-T1",
        "batch": "A-B1",
        "reheat": "A-R1",
        "probe": "red",
        "unit": "larder",
        "spit": 1,
        "to": "served",
        "digest": digest,
        "seq": 1,
        "text": text,
        "finding": finding(database, "hold.temperature"),
        "releasable": finding(database, "cook.core_temperature"),
    }


def _link(session: Session, site: Site) -> str:
    """Make a link for an inspector to the example day; give its text."""
    days, by = (cast.DAY, cast.DAY), register.Author("session", "pat")
    return register.issue_inspection_link(session, site, "Ida", days=days, hours=9, by=by, at=cast.moment("11:59"))[1]


def _adopt_with_a_file(session: Session, site: Site) -> str:
    """Adopt version 2 of the plan with a letter that belongs to it; give the letter's digest."""
    told = {"media_type": "application/pdf", "name": "letter.pdf", "part": "validation"}
    letter = register.keep_file(session, site, a_pdf(), **told, at=cast.moment("12:00"))
    pat, own = register.get_person(session, site, "pat"), register.OwnWords(attachments=[letter])
    register.adopt_plan(session, site, None, {}, by=pat, at=cast.moment("12:00"), own=own)
    return letter.digest


def _too_few_probed() -> list[dict[str, Any]]:
    """A spit of four pulled with one bird probed: what came of it may be released."""
    return [
        cast.draft("spit_loaded", at="11:41", spit=2, birds=4),
        cast.draft("cook_reading", at="11:45", spit=2, bird=1),
        cast.draft("spit_pulled", at="11:50", spit=2, birds=4, tray="A-T9"),
    ]
