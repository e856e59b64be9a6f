"""Whether time tells a name: wrong passwords for known, unknown and retired names, for a name of no kitchen, and PINs.

Run: python -m tests.bench.bench_guessing [ROUNDS]. Processor's time of whole requests: others share the machine. The
pause after a failure is left out, for it hides differences and is the same for all. Every name is tried once a round,
in an order of chance.
"""

import random
import sys
import tempfile
import time
from pathlib import Path
from statistics import median, quantiles

from flask import Flask

from app import clock, create_app, register, schema
from app.db import Database
from app.models import Throttle
from app.server import hashing
from tests.support import cast
from tests.support.browsing import Browser

ROUNDS = 60
NAMES = {
    "known": ("S1", "pat"),
    "known, has a PIN only": ("S1", "pin"),
    "retired": ("S1", "ruth"),
    "unknown": ("S1", "nobody"),
    "unknown, long": ("S1", "n" * 300),
    "of another kitchen": ("S2", "pat"),
    "of no kitchen": ("S9", "pat"),
}
NEVER_APART = 0.05
"""By how much of the median of a known name another's median may differ."""


def main() -> None:
    """Print the distribution of each."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    hashing._FAILED_COSTS_S = 0
    with tempfile.TemporaryDirectory() as folder:
        app = _kitchens(Path(folder))
        spent = _passwords(app, rounds)
        app.extensions["database"].engine.dispose()
    known = median(spent["known"])
    for name, seconds in spent.items():
        parts = quantiles(seconds, n=10)
        apart = median(seconds) / known - 1
        met = "met" if abs(apart) <= NEVER_APART else "NOT_MET"
        middle = f"median {median(seconds) * 1e3:.1f} ms, 10th to 90th percentile {parts[0] * 1e3:.1f} to"
        print(f"{name}: {middle} {parts[-1] * 1e3:.1f} ms; {apart:+.1%} of a known name's ({met})")


def _kitchens(folder: Path) -> Flask:
    url = f"sqlite:///{folder}/kitchens.sqlite3"
    schema.upgrade(url)
    database = Database(url)
    at = clock.utc_now()
    with database.writing() as session:
        cast.make_site(session)
        cast.make_other_site(session)
        site = register.get_site(session, "S1")
        real = register.hash_password(cast.PASSWORD, login="pat")  # the cast's own are hashed cheaply
        for login in ("pat", "sam"):
            register.set_password(session, register.get_person(session, site, login), real, at=at)
        retired = register.add_person(
            session, site, "ruth", name="Ruth Retired", role="in_charge", password=real, at=at
        )
        by_pin = register.add_person(session, site, "pin", name="Pia Pin", role="cook", password=None, at=at)
        register.set_pin(session, by_pin, register.hash_pin("4071"), at=at)
        register.retire_person(session, site, retired.login, at=at)
    database.engine.dispose()
    return create_app({"DATABASE_URL": url, "SECRET_KEY": "x", "SIGNING_PASSPHRASE": "x"})


def _passwords(app: Flask, rounds: int) -> dict[str, list[float]]:
    spent: dict[str, list[float]] = {name: [] for name in NAMES}
    browser = Browser(app.test_client())
    form = browser.get("/signin").form()
    for number in range(rounds + 1):
        with app.extensions["database"].writing() as session:
            session.query(Throttle).delete()
        for name in random.sample(list(NAMES), len(NAMES)):
            site, login = NAMES[name]
            fields = form.with_typed({"site": site, "login": login, "password": "a guess that is wrong"})
            begun = time.process_time()
            browser.send("/signin", fields)
            if number:  # the first round loads what is loaded once
                spent[name].append(time.process_time() - begun)
    return spent


if __name__ == "__main__":
    main()
