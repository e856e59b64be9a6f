"""The exchange format: `/api/v1`, JSON, bearer tokens, problem details."""

from flask import Blueprint, Flask

from . import days, entries, openapi
from .problems import answer_error

__all__ = ["answer_error", "init_app"]


def init_app(app: Flask) -> None:
    """Add the API to the app. It has no cookies, so there is nothing for a forged form to ride on."""
    version_1 = Blueprint("api", __name__, url_prefix="/api/v1")
    for part in (days, entries, openapi):
        version_1.register_blueprint(part.blueprint)
        app.extensions["csrf"].exempt(part.blueprint)
    app.register_blueprint(version_1)
