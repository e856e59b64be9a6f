"""The app as a whole: settings, headers, health, errors."""

import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask, request

from app import create_app, schema
from app.db import Database
from app.server.settings import SettingRefused, read_settings
from tests.support import cast

_NAMES = ("DATABASE_URL", "SECRET_KEY", "SESSION_COOKIE_SECURE", "TRUSTED_PROXIES", "WRITES_PER_MINUTE")


@pytest.fixture
def database(sqlite_database: Database) -> Database:
    """SQLite is enough here."""
    return sqlite_database


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in _NAMES:
        monkeypatch.delenv(name, raising=False)


def test_without_settings_everything_lies_in_the_instance_folder(tmp_path: Path) -> None:
    settings = read_settings({}, tmp_path / "instance")
    assert settings["DATABASE_URL"] == f"sqlite:///{tmp_path}/instance/roast-ledger.db"
    assert settings["SECRET_KEY"] == (tmp_path / "instance" / "secret_key").read_text("ascii")


def test_the_secret_key_is_made_once_and_is_private(tmp_path: Path) -> None:
    first, second = read_settings({}, tmp_path), read_settings({}, tmp_path)
    assert first["SECRET_KEY"] == second["SECRET_KEY"]
    assert len(first["SECRET_KEY"]) == 64
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]
    assert stat.S_IMODE((tmp_path / "secret_key").stat().st_mode) == 0o600


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_the_database_and_its_folder_are_for_their_owner_only(
    tmp_path: Path, two_kitchens_template: Path, make_app: Callable[..., Flask]
) -> None:
    settings = read_settings({}, tmp_path / "instance")
    schema.upgrade(settings["DATABASE_URL"])
    app = make_app(settings["DATABASE_URL"])
    with app.extensions["database"].writing() as session:
        session.connection().exec_driver_sql("CREATE TABLE anything (number INTEGER)")
    found = {path.name: _mode(path) for path in (tmp_path / "instance").iterdir()}
    assert _mode(tmp_path / "instance") == 0o700
    assert {"roast-ledger.db", "roast-ledger.db-wal", "roast-ledger.db-shm", "secret_key"} <= found.keys()
    assert set(found.values()) == {0o600}


def test_what_an_earlier_version_left_readable_is_made_private(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    (tmp_path / "roast-ledger.db").touch(mode=0o644)
    read_settings({}, tmp_path)
    assert (_mode(tmp_path), _mode(tmp_path / "roast-ledger.db")) == (0o700, 0o600)


def test_over_tls_cookies_are_taken_from_this_host_alone(
    two_kitchens: Database, make_app: Callable[..., Flask], set_clock: Callable[[str], None]
) -> None:
    """RFC 6265bis, 4.1.3.2: such a name is taken only when Secure, for the path / and without a domain."""
    set_clock("12:00")
    client = make_app(two_kitchens.url, SESSION_COOKIE_SECURE=True, WTF_CSRF_ENABLED=False).test_client()
    given = {"login": "cook", "password": cast.PASSWORD, "site": "S1"}
    answers = [client.post("/signin", data=given, base_url="https://localhost")]
    answers += [client.post("/tablet", data={"credential": cast.token("A")}, base_url="https://localhost")]
    cookies = [cookie for answer in answers for cookie in answer.headers.getlist("Set-Cookie")]
    assert {cookie.partition("=")[0] for cookie in cookies} == {
        "__Host-roast_ledger",
        "__Host-known",
        "__Host-tablet",
    }
    for cookie in cookies:
        assert {"Secure", "HttpOnly", "SameSite=Lax", "Path=/"} <= {part.strip() for part in cookie.split(";")}
        assert "Domain" not in cookie


def test_the_environment_names_settings_and_what_is_given_wins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, text in zip(_NAMES, ("postgres://u@h/db", "from outside", "yes", "2", "60"), strict=True):
        monkeypatch.setenv(name, text)
    settings = read_settings({"WRITES_PER_MINUTE": 7}, tmp_path)
    assert [settings[name] for name in _NAMES] == ["postgresql://u@h/db", "from outside", True, 2, 7]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("SESSION_COOKIE_SECURE", "perhaps"),
        ("TRUSTED_PROXIES", "-1"),
        ("WRITES_PER_MINUTE", "١"),
        ("REQUEST_PAUSE_S", "0"),
    ],
)
def test_a_setting_that_cannot_be_read_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, text: str
) -> None:
    monkeypatch.setenv(name, text)
    with pytest.raises(SettingRefused, match=name):
        read_settings({}, tmp_path)


def test_a_secret_key_that_cannot_be_kept_is_told(tmp_path: Path) -> None:
    (tmp_path / "secret_key").mkdir()
    with pytest.raises(SettingRefused, match="set SECRET_KEY instead"):
        read_settings({}, tmp_path)


@pytest.mark.parametrize("url", ["nonsense", "oracle://somewhere", "nosuch+driver://x"])
def test_what_names_no_database_is_told(url: str) -> None:
    with pytest.raises(SettingRefused, match="DATABASE_URL"):
        create_app({"DATABASE_URL": url, "SECRET_KEY": "only for tests"})


def test_health_is_the_databases(app: Flask, database: Database) -> None:
    response = app.test_client().get("/healthz")
    assert (response.status_code, response.text) == (200, "ok\n")
    with database.engine.begin() as connection:
        connection.exec_driver_sql("ALTER TABLE sites RENAME TO gone")
    assert app.test_client().get("/healthz").status_code == 503


@pytest.mark.parametrize("path", ["/", "/healthz", "/nowhere", "/api/v1/openapi.json", "/static/style.css"])
def test_every_answer_says_what_a_browser_may_do(app: Flask, path: str) -> None:
    with app.test_client().get(path) as response:
        headers = response.headers
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert (headers["X-Content-Type-Options"], headers["Referrer-Policy"]) == ("nosniff", "no-referrer")
    assert ("no-store" in headers["Cache-Control"]) == (path != "/static/style.css")


def test_errors_are_pages_or_problems_by_path(app: Flask) -> None:
    client = app.test_client()
    page, problem = client.get("/nowhere"), client.get("/api/v1/nowhere")
    assert (page.status_code, page.mimetype) == (404, "text/html")
    assert (problem.status_code, problem.mimetype) == (404, "application/problem+json")


def test_what_nobody_foresaw_tells_nothing_of_the_program(database: Database, make_app: Callable[..., Flask]) -> None:
    def fail() -> str:
        raise RuntimeError("secret detail")

    app = make_app(database.url)
    app.add_url_rule("/fail", "fail", fail)
    app.add_url_rule("/api/v1/fail", "api_fail", fail)
    for path in ("/fail", "/api/v1/fail"):
        response = app.test_client().get(path)
        assert response.status_code == 500
        assert "secret detail" not in response.text
        assert "Traceback" not in response.text


def test_the_session_cookie_is_kept_from_scripts_and_other_sites(
    database: Database, make_app: Callable[..., Flask]
) -> None:
    app = make_app(database.url, SESSION_COOKIE_SECURE=True)
    cookie = app.test_client().get("/signin").headers["Set-Cookie"]
    assert all(flag in cookie for flag in ("HttpOnly", "SameSite=Lax", "Secure"))


@pytest.mark.parametrize(("proxies", "address"), [(0, "127.0.0.1"), (1, "192.0.2.1")])
def test_a_forwarded_address_is_believed_only_where_a_proxy_is_named(
    database: Database, make_app: Callable[..., Flask], proxies: int, address: str
) -> None:
    app = make_app(database.url, TRUSTED_PROXIES=proxies)
    app.add_url_rule("/address", "address", lambda: str(request.remote_addr))
    response = app.test_client().get("/address", headers={"X-Forwarded-For": "192.0.2.1"})
    assert response.text == address


def test_a_form_without_its_key_is_refused(app: Flask) -> None:
    response = app.test_client().post("/signin", data={"login": "pat"})
    assert (response.status_code, response.mimetype) == (400, "text/html")
