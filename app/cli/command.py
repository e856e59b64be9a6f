"""What all commands share: an app around them, and one clear line on standard error for whatever goes wrong."""

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec

import click
from alembic.util import CommandError
from flask import current_app
from flask.cli import with_appcontext
from flask_babel import gettext as _
from sqlalchemy.exc import SQLAlchemyError

from app import ledger, words
from app.register import Refused
from app.rules.plans.settings import PlanRefused
from app.server.kept_logs import SigningRefused
from app.server.outages import outage_of

_P = ParamSpec("_P")


class Failed(click.ClickException):
    """What cannot be done, in one line; the command ends with exit code 1."""


class _Usage(click.ClickException):
    exit_code = 2


class _Command(click.Command):
    def make_context(self, *args: Any, **kwargs: Any) -> click.Context:
        try:
            return super().make_context(*args, **kwargs)
        except click.UsageError as error:
            raise _Usage(f"{_one_line(error.format_message())} (--help shows how {self.name} is used.)") from None


def command(name: str) -> Callable[[Callable[..., None]], click.Command]:
    """Make a function a command that runs with the app."""

    def decorate(view: Callable[..., None]) -> click.Command:
        return click.command(name, cls=_Command)(with_appcontext(_with_failure_words(view)))

    return decorate


def _with_failure_words(view: Callable[_P, None]) -> Callable[_P, None]:
    @wraps(view)
    def run(*args: _P.args, **kwargs: _P.kwargs) -> None:
        try:
            view(*args, **kwargs)
        except (click.ClickException, click.exceptions.Exit):
            raise
        except click.Abort:
            click.echo(err=True)  # the question stands on a line of its own
            raise Failed(_("Stopped: nothing more was typed.")) from None
        except Exception as error:
            if current_app.debug:
                raise
            raise Failed(failure_words(error)) from None

    return run


def failure_words(error: Exception) -> str:
    """Give what went wrong and what to do about it, in one line."""
    if isinstance(error, Refused):
        said = words.error_words(error.field, error.code, error.values)
    elif isinstance(error, PlanRefused):
        said = f"{error.name}: {words.error_words(error.name, error.code, error.values)}"
    elif isinstance(error, ledger.ClockBehind):
        said = words.clock_to_set_words(error.behind)
    elif isinstance(error, SQLAlchemyError):
        said = _database_words(error)
    elif isinstance(error, SigningRefused):
        said = str(error)
    elif isinstance(error, CommandError):
        said = _("The database cannot be brought up to date: %(why)s", why=str(error))
    elif isinstance(error, OSError):
        said = f"{error.filename}: {error.strerror}" if error.filename else str(error)
    else:
        what = f"{type(error).__name__}: {error}"
        said = _("Something unexpected went wrong (%(what)s).", what=what)
    return _one_line(said)


def _database_words(error: SQLAlchemyError) -> str:
    cause = str(getattr(error, "orig", None) or error)
    outage = outage_of(error)
    if outage is None:
        return str(_("The database refused it: %(why)s", why=cause))
    values = {"what": words.outage_words(outage), "to_do": words.outage_to_do_words(outage), "why": cause}
    return str(_("%(what)s %(to_do)s (%(why)s)", **values))


def _one_line(text: str) -> str:
    return " ".join(text.split())
