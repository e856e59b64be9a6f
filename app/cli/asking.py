"""Asking for what was left out, and reading passwords without showing them."""

import sys
from datetime import date
from pathlib import Path

import click
from flask_babel import gettext as _

from app.models import Person
from app.register import Refused

from .command import Failed

login_option = click.option("--login", metavar="LOGIN", help="Who does this; asked for when left out.")
password_option = click.option("--password-file", metavar="F", help="File with the password; - is standard input.")


def ask(given: str | None, what: str) -> str:
    """Give what was given, or what is typed now. Prompts go to standard error: output stays the command's own."""
    return given if given is not None else str(click.prompt(what, err=True))


def read_password(path: str | None) -> str:
    """Read a password from a file, from standard input (`-`), or hidden from the terminal.

    Raises Failed (unreadable, empty, several lines).
    """
    if path is None and sys.stdin.isatty():
        return str(click.prompt(_("Password"), hide_input=True, err=True))
    try:
        text = sys.stdin.readline() if path is None else _whole(path)
    except OSError as error:
        raise Failed(_("The password file %(file)s cannot be read: %(why)s.", file=path, why=error.strerror)) from None
    except UnicodeDecodeError:
        raise Failed(_("The password cannot be read: it is not UTF-8 text.")) from None
    password = text.removesuffix("\n").removesuffix("\r")
    if not password:
        raise Failed(_("There is no password. --password-file F names a file with it, - is standard input."))
    if "\n" in password:
        raise Failed(_("The password file has more than one line."))
    return password


def read_new_password(path: str | None) -> str:
    """Read a password that is being set: typed at the terminal, it is typed twice."""
    password = read_password(path)
    if path is None and sys.stdin.isatty():
        again = click.prompt(_("The same password again"), hide_input=True, err=True)
        if again != password:
            raise Failed(_("The two passwords are not the same."))
    return password


def checked(person: Person | None) -> Person:
    """Give the person whose password was right. Raises Refused."""
    if person is None:
        raise Refused("password", "wrong")
    return person


def read_day(text: str) -> date:
    """Read a day, e.g. 2026-04-14. Raises Refused."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day.isoformat() != text or not 1970 <= day.year < 9000:
        raise Refused("day", "type", value=text, expected="2026-04-14")
    return day


def _whole(path: str) -> str:
    return sys.stdin.read() if path == "-" else Path(path).read_text("utf-8")
