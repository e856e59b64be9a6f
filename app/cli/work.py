"""The command that does what is due outside requests."""

import os
import signal
import threading

import click
from flask import Flask, current_app
from flask_babel import gettext as _
from sqlalchemy.exc import SQLAlchemyError

from app import clock, register, words
from app.server import get_database, guards
from app.server import jobs as work

from .command import Failed, command

_LOOKS_EVERY_S = 1.0


@command("jobs")
@click.option("--forever", is_flag=True, help="Go on until stopped, or until what started it has ended.")
def jobs(forever: bool) -> None:
    """Do what is due: draw logs, send mail. The server starts this by itself with --forever."""
    app = current_app._get_current_object()  # type: ignore[attr-defined]  # Flask's own way to the app behind its proxy
    if forever:
        _go_on(app)
        return
    with work.holding_jobs(app) as is_ours:
        if not is_ours:
            raise Failed(_("Another process does the jobs already."))
        now = clock.utc_now()
        tried = work.run_due(now)
        work.forget_old(now)
    click.echo(_("%(number)s jobs were tried.", number=tried))


def _go_on(app: Flask) -> None:
    """Wait until no other process does the jobs, then do them until told to stop or left alone."""
    _say_what_is_unguarded()
    stopped, parent = threading.Event(), os.getppid()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: stopped.set())
    threading.Thread(target=_stop_when_alone, args=(parent, stopped), daemon=True).start()
    while not stopped.is_set():
        with work.holding_jobs(app) as is_ours:
            if is_ours:
                # Whoever writes an entry comes first.
                os.nice(5)
                work.run_for_ever(app, stopped)
        stopped.wait(_LOOKS_EVERY_S)


def _say_what_is_unguarded() -> None:
    """Print which guards of the entries are gone, as the server starts: it serves on, since a cook can write."""
    try:
        with get_database().reading() as session:
            register.list_sites(session)  # a database that is not set up has no guards yet
            unguarded = guards.faults(session)
    except SQLAlchemyError:
        return  # pages and /healthz say what is wrong with it
    if unguarded:
        click.echo(words.guard_words(unguarded), err=True)


def _stop_when_alone(parent: int, stopped: threading.Event) -> None:
    """A server that is killed tells nobody: its work would go on by an older program."""
    while not stopped.wait(_LOOKS_EVERY_S):
        if os.getppid() != parent:
            stopped.set()
