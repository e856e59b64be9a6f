"""The settings: read from the environment, with what a kitchen's own computer needs as the default."""

import os
import secrets
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from click import ClickException

from .mail import checked_server

LARGEST_BODY = 4 * 1024 * 1024
"""Bytes of one request, the same for forms and for the API."""


class SettingRefused(ClickException):
    """A setting that cannot be used; a command prints it in one line, a server stops with it."""


def read_settings(given: Mapping[str, Any], instance: Path) -> dict[str, Any]:
    """Give all settings: what was given to `create_app`, else the environment, else the default.

    Raises SettingRefused where one cannot be read, or the secret key not be kept.
    """
    read: dict[str, Any] = {
        "MAX_CONTENT_LENGTH": LARGEST_BODY,
        "MAX_FORM_MEMORY_SIZE": LARGEST_BODY,
        "SESSION_COOKIE_NAME": "roast_ledger",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        # A form that lay on the tablet over a long shift can still be sent: its key lives as long as the session.
        "WTF_CSRF_TIME_LIMIT": None,
        # A key bound to the session needs no look at where the form was sent from, which proxies take away.
        "WTF_CSRF_SSL_STRICT": False,
        "BABEL_DEFAULT_LOCALE": "en",
    }
    for name, (parse, default) in _ENVIRONMENT.items():
        if name not in given and (value := _from_environment(name, parse, default)) is not None:
            read[name] = value
    read.update(given)
    read["DATABASE_URL"] = _database_url(read["DATABASE_URL"], instance)
    if read["SESSION_COOKIE_SECURE"]:  # browsers take a cookie of that name only from this host, over TLS
        read["SESSION_COOKIE_NAME"] = f"__Host-{read['SESSION_COOKIE_NAME']}"
    read["SECRET_KEY"] = read["SECRET_KEY"] or kept_secret(instance / "secret_key")
    return read


def setting(name: str) -> Any:
    """Give a setting where there is no app yet: what the environment says, else the default. Raises SettingRefused."""
    return _from_environment(name, *_ENVIRONMENT[name])


def _from_environment(name: str, parse: Callable[[str], Any], default: Any) -> Any:
    text = os.environ.get(name, "").strip()
    if not text:
        return default
    try:
        return parse(text)
    except ValueError as error:
        raise SettingRefused(f"The setting {name} cannot be {text!r}: {error}.") from None


def _yes_or_no(text: str) -> bool:
    answer = {"1": True, "true": True, "yes": True, "0": False, "false": False, "no": False}.get(text.lower())
    if answer is None:
        raise ValueError("it is 1 or 0")
    return answer


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 6):
        raise ValueError("it is a whole number from 0")
    return int(text)


def _seconds(text: str) -> int:
    if not _count(text):
        raise ValueError("it is a whole number from 1")
    return int(text)


def _web_address(text: str) -> str:
    if not text.startswith(("http://", "https://")):
        raise ValueError("it begins with http:// or https://")
    return text


_ENVIRONMENT: dict[str, tuple[Callable[[str], Any], Any]] = {
    "DATABASE_URL": (str, ""),
    "SECRET_KEY": (str, ""),
    "SESSION_COOKIE_SECURE": (_yes_or_no, False),
    "TRUSTED_PROXIES": (_count, 0),
    "WRITES_PER_MINUTE": (_count, 0),
    "TABLET_IDLE_MIN": (_count, None),
    "PERSON_RECENT_MIN": (_count, None),
    "SESSION_IDLE_MIN": (_count, None),
    "SESSION_HOURS": (_count, None),
    "REQUEST_PAUSE_S": (_seconds, 10),
    "MAIL_SERVER": (checked_server, ""),
    "MAIL_FROM": (str, "roast-ledger@localhost"),
    "SIGNING_PASSPHRASE": (str, ""),
    "SIGNING_PASSPHRASE_FILE": (str, ""),
    "SIGNING_P12": (str, ""),
    "SIGNING_P12_PASSPHRASE": (str, ""),
    "TIMESTAMP_URL": (_web_address, ""),
}
"""Settings that the environment names, how each is read, and its default (None: the pages have their own)."""


def _database_url(text: str, instance: Path) -> str:
    if not text:
        _make_folder(instance)
        for path in (instance, *instance.glob("roast-ledger.db*")):
            _make_private(path)
        return f"sqlite:///{instance / 'roast-ledger.db'}"
    # Hosts still hand out the scheme that SQLAlchemy no longer knows.
    return "postgresql://" + text.removeprefix("postgres://") if text.startswith("postgres://") else text


def kept_secret(path: Path) -> str:
    """Give a secret that is made once, e.g. the key that signs sessions. Whoever reads it can do as much: mode 600."""
    try:
        if not path.exists():
            _make_folder(path.parent)
            _make_secret(path)
        return path.read_text("ascii").strip()
    except (OSError, UnicodeError) as error:
        name = path.name.upper()
        raise SettingRefused(f"The secret cannot be kept in {path} ({error}); set {name} instead.") from None


def _make_secret(path: Path) -> None:
    """Two processes may start at once: a whole file is linked into place, and the first one wins."""
    draft = path.with_name(f"{path.name}.{secrets.token_hex(8)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_hex(32))
        path.hardlink_to(draft)
    except FileExistsError:
        pass
    finally:
        draft.unlink()


def _make_private(path: Path) -> None:
    """Take other users' rights away from what is ours; an earlier version made it readable for them."""
    with suppress(OSError):
        if path.stat().st_mode & 0o077 and path.stat().st_uid == os.geteuid():
            path.chmod(path.stat().st_mode & 0o700)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise SettingRefused(f"The folder {folder} cannot be made: {error.strerror}.") from None
