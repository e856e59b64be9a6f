"""Roast Ledger: a cook-and-hold temperature log for a rotisserie kitchen.

`create_app` is the one place where the parts are joined. It imports inside itself, so that `app.rules` loads alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from flask import Flask

__all__ = ["create_app"]


def create_app(config: Mapping[str, Any] | None = None) -> Flask:
    """Make the app: the pages, the API and the commands over one database.

    `config` overrides what the environment says (docs/commands.md lists the settings). Raises SettingRefused.
    """
    from pathlib import Path

    from flask import Flask
    from flask_wtf import CSRFProtect
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError
    from werkzeug.middleware.proxy_fix import ProxyFix

    from app import api, cli, web
    from app.db import Database
    from app.server import compressing, errors, headers, health, languages, pages_in_turn, sessions
    from app.server.settings import SettingRefused, read_settings
    from app.web.parts.problems import answer_error

    app = Flask(__name__, template_folder="../templates")
    app.url_map.merge_slashes = False  # the redirect to the single slash would lead to whatever host is named
    app.config.from_mapping(read_settings(config or {}, Path(app.instance_path)))
    try:
        app.extensions["database"] = Database(app.config["DATABASE_URL"])
    except (ArgumentError, NoSuchModuleError, ImportError):
        raise SettingRefused("DATABASE_URL does not name a database, e.g. postgresql://user@host/name.") from None
    pages_in_turn.init_app(app)
    if proxies := app.config["TRUSTED_PROXIES"]:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=proxies, x_proto=proxies, x_host=proxies)  # type: ignore[method-assign]  # Flask's own way to wrap
    CSRFProtect(app)
    for part in (sessions, languages, headers, compressing, health, api, web, cli):
        part.init_app(app)
    errors.init_app(app, api=api.answer_error, web=answer_error)
    return app
