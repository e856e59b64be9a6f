"""Rendering: a page, or only its live part where the script asks for that."""

from flask import render_template, request
from flask.typing import ResponseReturnValue


def page(template: str, status: int = 200, **view: object) -> ResponseReturnValue:
    """Render a page with its view; a form that was refused is shown again with status 422."""
    return render_template(template, **view), status


def is_whole() -> bool:
    """Whether a whole page is asked for, and not only a part of it."""
    return "X-Fragment" not in request.headers
