"""The week and the calibration report on paper."""

from flask import current_app

from ..paper.pdf import PAGE_COUNT, PAGE_NUMBER, STYLE, set_on_paper
from .calibration import Calibration
from .week import WeekView


def write_week(view: WeekView) -> bytes:
    """Make the PDF of a week. The same view gives the same file. Needs an app context."""
    return _write("log/week.html", view)


def write_calibration(view: Calibration) -> bytes:
    """Make the PDF of a calibration report. The same view gives the same file. Needs an app context."""
    return _write("log/calibration.html", view)


def _write(template: str, view: WeekView | Calibration) -> bytes:
    # Not through Flask's own renderer: paper has no session and no form to protect.
    html = current_app.jinja_env.get_template(template).render(
        view=view, page_number=PAGE_NUMBER, page_count=PAGE_COUNT
    )
    return set_on_paper(html, STYLE)
