"""What was saved of one thing while its pad was open, by whatever device: told on the pad, and drawn there.

The pad asks every few seconds. Where nothing was saved in the kitchen since, the answer is 304, and no day is assessed.
"""

from collections.abc import Callable
from decimal import Decimal

from flask import Blueprint, Response, abort, make_response, render_template, request, url_for

from app.kinds import Subject
from app.kinds.permissions import Permission
from app.logs.drawings import rod
from app.rules.day.shown import Assessment
from app.rules.meaning import holding

from ..signin import identity
from ..signin.identity import requires
from . import made_once, readings
from .cooling import batch_page_of
from .meanwhile_lines import Line, lines_of, spit_lines
from .next_bird import following, next_spit
from .reheating import reheat_page_of
from .storage import find_unit
from .tray_jobs import late_line, tray_line

blueprint = Blueprint("meanwhile", __name__)


@blueprint.get("/loads/<load>/spits/<int:spit>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_spit(load: str, spit: int) -> Response:
    """Give what was saved of a spit after an entry (`since`), and the spit as it stands now."""
    return _unless_known(lambda day: _of_spit(day, load, spit))


@blueprint.get("/trays/<tray>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_tray(tray: str) -> Response:
    """Give what was saved of a tray after an entry (`since`), and the tray as it stands now."""
    return _unless_known(lambda day: _of_tray(day, tray))


@blueprint.get("/batches/<batch>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_batch(batch: str) -> Response:
    """Give what was saved of a batch after an entry (`since`), and the batch as it stands now."""
    return _unless_known(lambda day: _of_batch(day, batch))


@blueprint.get("/reheats/<reheat>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_reheat(reheat: str) -> Response:
    """Give what was saved of a reheat after an entry (`since`), and the reheat as it stands now."""
    return _unless_known(lambda day: _of_reheat(day, reheat))


@blueprint.get("/units/<unit>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_unit(unit: str) -> Response:
    """Give what was saved of a unit after an entry (`since`), and how many of its checks are done."""
    return _unless_known(lambda day: _of_unit(day, unit))


@blueprint.get("/probes/<probe>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_probe(probe: str) -> Response:
    """Give what was saved of a probe after an entry (`since`)."""
    return _unless_known(lambda day: _of_probe(day, probe))


def _unless_known(part_of: Callable[[Assessment], str]) -> Response:
    tag = made_once.newest_entry()
    if request.if_none_match.contains_weak(tag):
        answer = make_response("", 304)
    else:
        answer = make_response(part_of(made_once.day_at_present()))
    answer.set_etag(tag)
    return answer


def _of_spit(day: Assessment, name: str, number: int) -> str:
    load = next((one for one in day.loads if one.load == name), None) or abort(404)
    spit = next((one for one in load.spits if one.spit == number), None) or abort(404)
    other = next_spit(load, number)
    return render_template(
        "cooking/_meanwhile.html",
        lines=spit_lines(day, load, spit, since=_since()),
        spit=spit,
        rod=rod(load, spit),
        following=following(load, spit),
        next_spit=url_for("cooking.cook_reading", load=name, spit=other) if other else "",
    )


def _of_tray(day: Assessment, name: str) -> str:
    tray = next((one for one in day.trays if one.tray == name), None) or abort(404)
    return render_template(
        "holding/_meanwhile.html",
        lines=_lines(day, Subject("tray", name), tray.birds_left),
        line=tray_line(tray),
        tray=tray,
        late=holding.late_check(tray, day.as_of),
        late_line=late_line(tray, day),
    )


def _of_batch(day: Assessment, name: str) -> str:
    view = batch_page_of(day, name)
    lines = _lines(day, Subject("batch", name), view.batch.birds_left)
    return render_template("cooling/_meanwhile.html", lines=lines, view=view)


def _of_reheat(day: Assessment, name: str) -> str:
    view = reheat_page_of(day, name)
    lines = _lines(day, Subject("reheat", name), view.reheat.birds_left)
    return render_template("reheating/_meanwhile.html", lines=lines, view=view)


def _of_unit(day: Assessment, code: str) -> str:
    unit = find_unit(code, day)
    return render_template("storage/_meanwhile.html", lines=_lines(day, Subject("unit", code)), line=unit)


def _of_probe(day: Assessment, code: str) -> str:
    if all(one.code != code for one in readings.listed(identity.current().site, "probe")):
        abort(404)
    return render_template("probes/_meanwhile.html", lines=_lines(day, Subject("probe", code)))


def _lines(day: Assessment, subject: Subject, left: Decimal | None = None) -> list[Line]:
    return lines_of(day, subject, since=_since(), left=left)


def _since() -> int:
    return request.args.get("since", type=int) or 0
