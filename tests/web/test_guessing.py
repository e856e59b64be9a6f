"""Guessing passwords and PINs: it ends, and keeps nobody out who was here before."""

import re
import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from subprocess import PIPE, Popen
from threading import Event, Thread

import pytest
from flask import Flask

from app import register
from app.server import hashing
from app.server.hashing import TooManyAtOnce, Turns
from tests.support import cast
from tests.support.browsing import Browser, Page

ROOT = Path(__file__).parents[2]
SetClock = Callable[[datetime | str], None]


@pytest.fixture(autouse=True)
def _failures_cost_no_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hashing, "_FAILED_COSTS_S", 0)


@pytest.fixture
def stranger(app: Flask, browser: Browser) -> Callable[[str], Browser]:
    """Makes a browser that was never here, at a network address."""

    def make(address: str) -> Browser:
        client = app.test_client()
        client.environ_base["REMOTE_ADDR"] = address
        return Browser(client)

    return make


def guess(browser: Browser, login: str = "pat", password: str = "guess") -> Page:
    """Try a password."""
    return browser.get("/signin").send(site="S1", login=login, password=password)


def test_guesses_from_one_address_hold_up_nobody_at_another(stranger: Callable[[str], Browser]) -> None:
    for _ in range(6):
        page = guess(stranger("192.0.2.7"))
    assert "Too many tries. Try again in" in page.words
    assert guess(stranger("192.0.2.8"), password=cast.PASSWORD).status == 200


def test_a_browser_that_signed_in_before_is_let_pass(browser: Browser, stranger: Callable[[str], Browser]) -> None:
    guess(browser, password=cast.PASSWORD)
    for number in range(100):
        guess(stranger(f"192.0.2.{number}"))
    assert "Too many tries." in guess(stranger("198.51.100.1"), password=cast.PASSWORD).words
    [out] = [form for form in browser.get("/").forms if form.action.endswith("/signout")]
    browser.send("/signout", out.with_typed({}))
    page = guess(browser, password=cast.PASSWORD)
    assert page.path == "/", page.words


def test_a_known_browser_is_known_for_its_own_people_only(browser: Browser, stranger: Callable[[str], Browser]) -> None:
    guess(browser, "cook", cast.PASSWORD)
    for _ in range(6):
        page = guess(browser)
    assert "Too many tries." in page.words
    assert guess(browser, "cook", cast.PASSWORD).status == 200


def test_a_made_up_mark_of_a_known_browser_is_none(stranger: Callable[[str], Browser]) -> None:
    one = stranger("192.0.2.7")
    for number in range(6):
        one.client.set_cookie("known", f"made up {number}")
        page = guess(one)
    assert "Too many tries." in page.words


def test_the_person_in_charge_signs_in_at_an_enrolled_tablet_whatever_is_guessed_outside(
    browser: Browser, stranger: Callable[[str], Browser]
) -> None:
    for number in range(100):
        guess(stranger(f"192.0.2.{number}"))
    assert guess(browser.enrol(), password=cast.PASSWORD).status == 200


def test_pins_guessed_at_one_tablet_leave_the_other_alone(browser: Browser, app: Flask, stranger: object) -> None:
    pat = Browser(app.test_client()).sign_in("pat")
    pat.get("/setup/tablets").send("/setup/tablets", tablet="B", where="here")
    browser.enrol()
    for pin in range(3000, 3006):
        page = browser.choose("cook", str(pin))
    assert "Too many tries." in page.words
    assert pat.choose("cook").status == 200


def test_made_up_names_are_soon_no_longer_listened_to(
    stranger: Callable[[str], Browser], monkeypatch: pytest.MonkeyPatch
) -> None:
    one = stranger("192.0.2.7")
    for number in range(50):
        guess(one, f"name{number}")
    # Nothing is hashed and nothing written any more.
    monkeypatch.setattr(hashing, "STRANGERS", Turns("strangers", at_once=1, waiting=-1))
    assert "Too many tries." in guess(one, "name51").words


def test_a_flood_of_strangers_leaves_the_turns_of_tablets_alone() -> None:
    strangers, go_on, is_in = Turns("flood", at_once=1, waiting=1), Event(), Event()

    def check() -> None:
        with strangers.turn():
            is_in.set()
            go_on.wait(20)

    threads = [Thread(target=check) for _ in range(2)]
    threads[0].start()
    is_in.wait(20)
    threads[1].start()
    while strangers._admitted._value:
        pass
    with pytest.raises(TooManyAtOnce), strangers.turn():
        pass
    with hashing.KNOWN.turn():
        go_on.set()
    for thread in threads:
        thread.join()
    with strangers.turn():
        pass


_HOLDS = """
import sys
from app import create_app
from app.server import hashing
app = create_app({"DATABASE_URL": sys.argv[1], "SECRET_KEY": "of a test"})
app.instance_path = sys.argv[2]
with app.app_context(), hashing.STRANGERS.turn():
    print("in", flush=True)
    sys.stdin.read()
"""


def test_all_processes_of_a_machine_share_the_turns(
    app: Flask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app, "instance_path", str(tmp_path))
    command = [sys.executable, "-c", _HOLDS, app.config["DATABASE_URL"], str(tmp_path)]
    other = Popen(command, stdin=PIPE, stdout=PIPE, text=True, cwd=ROOT)
    with other, app.app_context():
        assert other.stdout is not None
        assert other.stdout.readline() == "in\n"
        with hashing.KNOWN.turn():
            monkeypatch.setattr(hashing, "_PATIENCE_S", 0)
            with pytest.raises(TooManyAtOnce), hashing.STRANGERS.turn():
                pass
        other.kill()  # without a word: the system lets go of its turn
        other.wait(30)
        with hashing.STRANGERS.turn():
            pass


def test_a_folder_that_takes_no_file_keeps_nobody_from_signing_in(
    app: Flask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setattr(app, "instance_path", str(tmp_path / "file"))
    with app.app_context(), hashing.STRANGERS.turn():
        pass


def test_too_many_at_once_is_said_at_the_field(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hashing, "STRANGERS", full := Turns("strangers", at_once=1, waiting=0))
    with full.turn():
        page = guess(browser, password=cast.PASSWORD)
    assert page.status == 422
    assert "Many are signing in just now. Nothing was checked." in page.words


def test_an_unknown_name_costs_the_same_work_as_a_known_one(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    from app.register import passwords

    verified = []

    class Counting:
        def verify(self, kept: str, text: str) -> bool:
            verified.append((kept, text))
            return False

    monkeypatch.setattr(passwords, "hasher", Counting())
    guess(browser, "pat", "guess")
    guess(browser, "nobody", "guess")
    guess(browser, "no login at all", "guess")
    assert [text for _kept, text in verified] == ["guess"] * 3


def retire(app: Flask, login: str) -> None:
    with app.extensions["database"].writing() as session:
        register.retire_person(session, register.get_site(session, "S1"), login, at=cast.moment("11:00"))


def answered(
    browser: Browser, path: str, fields: Mapping[str, str], typed: str
) -> tuple[int, str, list[tuple[str, str]]]:
    """Give all of an answer, but what was typed and the key of the form; its length is that of what was typed."""
    answer = browser.client.post(path, data=fields)
    text = re.sub(r'name="csrf_token"[^>]*>', "", answer.get_data(as_text=True))
    headers = [(name, value) for name, value in answer.headers if name not in ("Content-Length", "Set-Cookie")]
    return answer.status_code, text.replace(typed, "…"), headers


def test_the_answer_to_a_wrong_password_tells_no_name(browser: Browser, app: Flask) -> None:
    retire(app, "sam")
    form = browser.get("/signin").form()
    names = [("S1", "pat"), ("S1", "cook"), ("S1", "sam"), ("S1", "nobody"), ("S2", "pat"), ("S1", "n" * 80)]
    answers = [
        answered(browser, "/signin", form.with_typed({"site": site, "login": name, "password": "guess"}), name)
        for site, name in names
    ]
    alike = {(status, text.replace('value="S2"', 'value="S1"'), str(headers)) for status, text, headers in answers}
    assert len(alike) == 1


def test_at_a_tablet_a_retired_name_is_answered_like_a_made_up_one(browser: Browser, app: Flask) -> None:
    retire(app, "sam")
    browser.enrol()
    form = browser.get("/person").form()
    first, second = (
        answered(browser, "/person", form.with_typed({"saver": name, "pin": "4071"}), name) for name in ("sam", "zoe")
    )
    assert first == second


@pytest.mark.parametrize("path", ["/signin", "/tablet", "/", "/person", "/nothing", "/healthz", "/api/v1/openapi.json"])
def test_nobody_outside_is_told_the_kitchens_names(browser: Browser, path: str) -> None:
    page = browser.get(path)
    assert "Kitchen S1" not in page.html
    assert "Kitchen S2" not in page.html


def test_a_wrong_kitchen_is_told_like_a_wrong_password(browser: Browser) -> None:
    pages = [browser.get("/signin").send(site=site, login="cook", password=cast.PASSWORD) for site in ("S2", "S9", "")]
    assert {"The name or the password is wrong." in page.words for page in pages} == {True}


def test_the_code_of_the_kitchen_is_taken_in_either_case_and_kept_for_the_next_time(browser: Browser) -> None:
    assert browser.get("/signin").send(site=" s1 ", login="cook", password=cast.PASSWORD).path == "/"
    [out] = [form for form in browser.get("/").forms if form.action.endswith("/signout")]
    browser.send("/signout", out.with_typed({}))
    assert dict(browser.get("/signin").form().fields)["site"] == "S1"
