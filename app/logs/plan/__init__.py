"""The HACCP plan as a document: a page, and a PDF that looks like the log."""

from .document import PlanDocument, approval, plan_document
from .keeping_sections import changes, occasions_words
from .pdf import plan_html, plan_pdf
from .record import PlanRecord

__all__ = [
    "PlanDocument",
    "PlanRecord",
    "approval",
    "changes",
    "occasions_words",
    "plan_document",
    "plan_html",
    "plan_pdf",
]
