"""The plan as PDF/A-3, in the look of the daily log, with what it was made from attached."""

import json
from typing import Any

from flask import current_app

from app.words.marking import gettext as _

from ..paper.pdf import PAGE_COUNT, PAGE_NUMBER, STYLE, set_on_paper
from .document import PlanDocument, plan_document
from .record import PlanRecord

OWN_STYLE = STYLE.with_name("plan.css")


def plan_pdf(record: PlanRecord) -> bytes:
    """Make the PDF of a plan. The same record gives the same file, byte for byte.

    Needs an app context, for the template and the language.
    """
    return document_pdf(plan_document(record), record)


def document_pdf(document: PlanDocument, record: PlanRecord) -> bytes:
    """Set a plan's document; attached is the plan as its entry in the ledger says it."""
    # Imported here: it takes most of a second, and no other command or page needs it.
    import weasyprint

    attachment = weasyprint.Attachment(
        string=json.dumps(_attached(record), ensure_ascii=False, indent=1, sort_keys=True),
        name=f"{record.site.code}-plan-{record.adopted.version}.json",
        description=_("The plan that this document was made from, as the ledger holds it"),
        created=record.made_of,
        modified=record.made_of,
        relationship="Source",
    )
    return set_on_paper(plan_html(document), STYLE, OWN_STYLE, attachments=[attachment])


def plan_html(document: PlanDocument) -> str:
    """Fill the document's template, as it is set on paper."""
    template = current_app.jinja_env.get_template("plan/document.html")
    return template.render(view=document, page_number=PAGE_NUMBER, page_count=PAGE_COUNT)


def _attached(record: PlanRecord) -> dict[str, Any]:
    adopted = record.adopted
    return {
        "site": record.site.code,
        "code": adopted.code,
        "version": adopted.version,
        "adopted_by": adopted.adopted_by,
        "adopted_at": adopted.adopted_at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "settings": dict(adopted.settings),
        "values": json.loads(adopted.values) if adopted.values else {},
        "texts": dict(adopted.texts),
        "attachments": {one.digest: one.as_fields() for one in adopted.attachments},
    }
