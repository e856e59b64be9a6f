"""The HACCP plan as a document, for everybody of the site: a page, a PDF, and the files that belong to it."""

from flask import Blueprint, Response, abort, url_for
from flask.typing import ResponseReturnValue

from app import clock, ledger, logs, register
from app.kinds.permissions import Permission
from app.logs.plan import PlanRecord
from app.server import get_database
from app.server.kept_plans import find_kept, printed_plan
from app.server.plan_document import read_plan

from ..parts.pages import page
from ..setup.index import kitchen
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("plan_document", __name__, url_prefix="/plan")


@blueprint.get("")
@requires(Permission.READ_RECORDS)
def newest() -> ResponseReturnValue:
    """Show the plan in force."""
    return _shown(_record())


@blueprint.get("/<int:number>")
@requires(Permission.READ_RECORDS)
def version(number: int) -> ResponseReturnValue:
    """Show one version of the plan."""
    return _shown(_record(number))


@blueprint.get("/<int:number>/plan.pdf")
@requires(Permission.READ_RECORDS)
def pdf(number: int) -> ResponseReturnValue:
    """Give the signed document of a version as it was kept; until it is made, the same without a signature."""
    record = _record(number)
    name = f"{record.site.code}-plan-{number}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    with get_database().reading() as session:
        content = printed_plan(session, record)
    return Response(content, mimetype="application/pdf", headers=headers)


@blueprint.get("/<int:number>/files/<digest>")
@requires(Permission.READ_RECORDS)
def file(number: int, digest: str) -> ResponseReturnValue:
    """Give a file that belongs to a version, as it was added."""
    named = next((one for one in _record(number).adopted.attachments if one.digest == digest), None)
    with get_database().reading() as session:
        content = register.find_file(session, kitchen(session), digest) if named else None
    if named is None or content is None:
        abort(404)
    response = Response(content, mimetype=named.media_type)
    response.headers.set("Content-Disposition", "attachment", filename=named.name)
    return response


def _record(number: int | None = None) -> PlanRecord:
    if number is not None and number >= 2**31:
        abort(404)
    with get_database().reading() as session:
        try:
            return read_plan(session, identity.current().site.code, as_of=clock.utc_now(), version=number)
        except LookupError:
            abort(404)


def _shown(record: PlanRecord) -> ResponseReturnValue:
    with get_database().reading() as session:
        newest = ledger.read_plans(session, identity.current().site.code)[-1].version
        kept = find_kept(session, record)
    files = [
        (one.name, url_for("plan_document.file", number=record.adopted.version, digest=one.digest))
        for one in record.adopted.attachments
    ]
    view, number = logs.plan.plan_document(record), record.adopted.version
    return page("plan/page.html", view=view, number=number, files=files, kept=kept, is_newest=number == newest)
