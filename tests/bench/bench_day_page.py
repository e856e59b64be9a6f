"""How long a day's page takes with the places of six charts and without them, at the server and in a browser.

In the browser: until the page is interactive (`domInteractive`), each time with nothing in the cache.

Run: python -m tests.bench.bench_day_page
"""

import logging
import re
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from threading import Thread
from unittest import mock
from uuid import uuid4

import jinja2
from flask import Flask
from flask.testing import FlaskClient
from playwright.sync_api import Browser, sync_playwright
from werkzeug.serving import make_server

from app import clock, create_app, ledger, schema
from app.db import Database
from tests.support import busy_day, cast, chromium

LOADS, ROUNDS, VISITS = 5, 40, 12
"""Five loads, and one tray that was too cold: six charts."""
PAGE = f"/day/{busy_day.DAY}"
NOW = busy_day.START + timedelta(hours=14)
COOK = ledger.Caller("cook", "Casey Cook", "cook", "session")
_NO_PLACES = "{% macro chart_place(place, day) %}{% endmacro %}"


def main() -> None:
    """Print the ratios that the README quotes."""
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    with tempfile.TemporaryDirectory() as folder, mock.patch.object(clock, "utc_now", return_value=NOW):
        app = _kitchen(Path(folder) / "ledger.sqlite3")
        app_without = _without_places(folder)
        with_places, without = _signed_in(app), _signed_in(app_without)
        count = with_places.get(PAGE).text.count("<img ")
        pairs = [(_seconds(with_places), _seconds(without)) for _ in range(ROUNDS)]
        taken, bare = min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)
        print(f"day page with {count} charts: {taken * 1000:.0f} ms, {taken / bare:.2f} times the page without them")
        charts, none = _in_a_browser(app, app_without)
    print(f"until interactive in Chromium: {charts:.0f} ms, {charts / none:.2f} times the page without charts")


def _kitchen(path: Path) -> Flask:
    app = create_app({"DATABASE_URL": f"sqlite:///{path}", "SECRET_KEY": "bench", "WTF_CSRF_ENABLED": False})
    database: Database = app.extensions["database"]
    schema.upgrade(database.url)
    with database.writing() as session:
        cast.make_site(session)
        rows = [row for number in range(LOADS) for row in busy_day.load_rows(f"A-L{number}", 90 * number)]
        for kind, minute, fields in sorted(rows, key=lambda row: row[1]):
            at = busy_day.START + timedelta(minutes=minute)
            plain = {name: str(value) if isinstance(value, Decimal) else value for name, value in fields.items()}
            draft = {"id": str(uuid4()), "kind": kind, "observed_at": at.isoformat(), **plain}
            assert ledger.append(session, "S1", [draft], by=COOK, at=at)[0].status == "accepted"
    return app


def _without_places(folder: str) -> Flask:
    app = create_app({"DATABASE_URL": f"sqlite:///{folder}/ledger.sqlite3", "SECRET_KEY": "bench"})
    app.config["WTF_CSRF_ENABLED"] = False
    loader = app.jinja_env.loader
    assert loader is not None
    app.jinja_env.loader = jinja2.ChoiceLoader([jinja2.DictLoader({"_parts/chart.html": _NO_PLACES}), loader])
    return app


def _signed_in(app: Flask) -> FlaskClient:
    client = app.test_client()
    client.post("/signin", data={"site": "S1", "login": "pat", "password": cast.PASSWORD})
    assert re.search("Load A-L0", client.get(PAGE).text)
    return client


def _seconds(client: FlaskClient) -> float:
    start = time.process_time()
    client.get(PAGE)
    return time.process_time() - start


def _in_a_browser(*apps: Flask) -> list[float]:
    """Give for each app the best milliseconds until its page is interactive."""
    with ExitStack() as open_, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox"])
        visits = [_visitor(browser, open_.enter_context(_served(app))) for app in apps]
        rounds = [[visit() for visit in visits] for _ in range(VISITS)]
        browser.close()
    return [min(times) for times in zip(*rounds, strict=True)]


def _visitor(browser: Browser, address: str) -> Callable[[], float]:
    first = browser.new_context(base_url=address)
    page = first.new_page()
    page.goto("/signin")
    page.get_by_label("Sign-in name").fill("pat")
    page.get_by_label("Password").fill(cast.PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()

    def visit() -> float:
        # A new context each time: nothing is in its cache.
        with browser.new_context(base_url=address, storage_state=first.storage_state()) as context:
            fresh = context.new_page()
            fresh.goto(PAGE)
            return float(fresh.evaluate("performance.getEntriesByType('navigation')[0].domInteractive"))

    return visit


@contextmanager
def _served(app: Flask) -> Iterator[str]:
    server = make_server("127.0.0.1", 0, app, threaded=True)
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()


if __name__ == "__main__":
    main()
