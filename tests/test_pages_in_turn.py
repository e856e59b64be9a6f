"""Pages are made a few at a time; what is written waits for none of them."""

from threading import Event, Thread
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import Client

from app.server import pages_in_turn


@pytest.fixture
def inside() -> list[str]:
    """Which pages are being made."""
    return []


def test_a_few_pages_at_a_time_and_everything_that_is_written(inside: list[str]) -> None:
    app, go_on, are_in = Flask("turns"), Event(), Event()

    @app.get("/<name>")
    def page(name: str) -> str:
        inside.append(name)
        if len(inside) == pages_in_turn.AT_ONCE:
            are_in.set()
        go_on.wait(30)
        return "made"

    @app.post("/<name>")
    @app.get("/api/<name>")
    def write(name: str) -> str:
        return "kept"

    pages_in_turn.init_app(app)
    threads = [Thread(target=_get, args=(app, f"/{number}")) for number in range(pages_in_turn.AT_ONCE + 2)]
    for thread in threads:
        thread.start()
    assert are_in.wait(30)
    assert Client(app).post("/anything").text == "kept"
    assert Client(app).get("/api/anything").text == "kept"
    assert len(inside) == pages_in_turn.AT_ONCE
    go_on.set()
    for thread in threads:
        thread.join()
    assert len(inside) == pages_in_turn.AT_ONCE + 2


def test_a_page_that_fails_gives_its_turn_back() -> None:
    app = Flask("failing")
    app.testing = True
    app.add_url_rule("/fail", "fail", view_func=lambda: 1 / 0)
    app.add_url_rule("/fine", "fine", view_func=lambda: "made")
    pages_in_turn.init_app(app)
    for _ in range(pages_in_turn.AT_ONCE + 1):
        with pytest.raises(ZeroDivisionError):
            Client(app).get("/fail")
    assert Client(app).get("/fine").text == "made"


def _get(app: Any, path: str) -> None:
    Client(app).get(path)
