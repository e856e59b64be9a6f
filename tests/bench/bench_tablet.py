"""What a tablet waits for and loads, in Chromium on a processor throttled 4 times; and what 20 tablets cost the server.

Run: python -m tests.bench.bench_tablet. The demo kitchen is served at ten past twelve; nothing else is measured.
"""

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread
from unittest import mock
from uuid import uuid4

from flask import Flask
from playwright.sync_api import Browser, CDPSession, Page, sync_playwright
from werkzeug.serving import make_server

import demo_data
from app import clock, create_app, ledger, register, schema
from app.db import Database
from app.rules.day.subjects_shown import LoadView
from demo_data import kitchen
from tests.support import chromium

NOW = datetime(2026, 6, 18, 17, 10, tzinfo=UTC)
SLOWER = 4
MOST_KB, MOST_MEANING_MS, MOST_STATE_MS, MOST_CORE = 100, 50, 100, 0.1
ROUNDS = 15
TABLETS, LIVE_S, DUE_S = 20, 20, 30
"""How many tablets, how often the first page of one refreshes itself, and how often one asks what is due."""


def main() -> None:
    """Print each measured figure with what it may be at most."""
    with (
        tempfile.TemporaryDirectory() as folder,
        mock.patch.object(clock, "utc_now", return_value=NOW),
        _serving(Path(folder)) as (app, address),
        sync_playwright() as run,
    ):
        credential, pad = _tablet(app), _pad(app)
        browser = run.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox", "--disable-gpu"])
        for name, path in (("first page", "/"), ("pad", pad)):
            print(f"{name}: {_transferred_kb(browser, address, credential, path):.0f} KB (at most {MOST_KB})")
        page = _page(browser, address, credential)
        _say("what a number means, after the last digit", _meaning_ms(page, pad), MOST_MEANING_MS)
        _say("a key, from the tap to its digit painted", _key_ms(page, pad), MOST_STATE_MS)
        _say("Save, from the tap until the screen says so", _save_ms(page, pad, _SAYS_SO), MOST_STATE_MS)
        next_bird, next_spit, answered, way = _next_pads(page, _fresh_spits(app))
        _say("Save, from the tap until the next bird is painted", next_bird, MOST_STATE_MS)
        _say("Save, from the tap until the next spit is painted", next_spit, MOST_STATE_MS)
        _tell("Save, until the server's answer is painted", answered)
        _tell("Save, the way to the server and back of that", way)
        browser.close()
        print(f"live updates of {TABLETS} tablets: {_cores(app, credential):.3f} of a core (at most {MOST_CORE})")


_SAYS_SO = "document.querySelector('[data-saving]').textContent"
_NEXT_PAD = "!document.getElementById('temperature').value"
_ANSWERED = "document.querySelector('main > .message')"
_ROUND_TRIP = "performance.getEntriesByType('resource').findLast((one) => one.initiatorType === 'fetch').duration"


def _say(what: str, times_ms: list[float], at_most: int) -> None:
    print(f"{_timed(what, times_ms)} (at most {at_most})")


def _tell(what: str, times_ms: list[float]) -> None:
    print(_timed(what, times_ms))


def _timed(what: str, times_ms: list[float]) -> str:
    return f"{what}: {statistics.median(times_ms):.0f} ms, the slowest {max(times_ms):.0f}"


@contextmanager
def _serving(folder: Path) -> Iterator[tuple[Flask, str]]:
    url = f"sqlite:///{folder / 'demo.db'}"
    schema.upgrade(url)
    app = create_app({"DATABASE_URL": url, "SECRET_KEY": "bench", "WTF_CSRF_ENABLED": False})
    demo_data.load(app.extensions["database"], at=NOW)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    Thread(target=server.serve_forever, daemon=True).start()
    yield app, f"http://127.0.0.1:{server.server_port}"
    server.shutdown()


def _tablet(app: Flask) -> str:
    database: Database = app.extensions["database"]
    with database.writing() as session:
        site = register.get_site(session, kitchen.SITE)
        return register.issue_tablet(session, site, kitchen.TABLET, at=NOW)[1]


def _pad(app: Flask) -> str:
    """Give the pad of a spit that is in the oven."""
    load, spit = _hanging(app)
    return f"/loads/{load.load}/spits/{spit}/probe"


def _hanging(app: Flask) -> tuple[LoadView, int]:
    """Give a load that is in the oven, and one of its spits."""
    database: Database = app.extensions["database"]
    with database.reading() as session:
        day = ledger.assess_day(session, kitchen.SITE, ledger.today(session, kitchen.SITE, NOW), as_of=NOW)
    return next((load, spit.spit) for load in day.loads for spit in load.spits if spit.birds_on)


def _fresh_spits(app: Flask) -> list[str]:
    """Load spits that nobody has probed, two for each round, and give their pads.

    They went in with their load: of birds just loaded the pad would ask whether they are done already.
    """
    load, _spit = _hanging(app)
    spits = range(10, 10 + 2 * (ROUNDS + 1))
    own = {"kind": "spit_loaded", "observed_at": load.started_at.isoformat(), "load": load.load}
    what = {"birds": 5, "lot": "bench", "ties": 6, "skewers": 2}
    cook = ledger.Caller("wren", "Wren", "cook", f"tablet:{kitchen.TABLET}")
    database: Database = app.extensions["database"]
    with database.writing() as session:
        drafts = [{"id": str(uuid4()), **own, "spit": spit, **what} for spit in spits]
        results = ledger.append(session, kitchen.SITE, drafts, by=cook, at=NOW, together=True)
    assert all(result.status == "accepted" for result in results), results
    return [f"/loads/{load.load}/spits/{spit}/probe" for spit in spits]


# ---- in the browser ------------------------------------------------------------------------------------------------


def _page(browser: Browser, address: str, credential: str) -> Page:
    """Open a page as a tablet of the kitchen, its cook known, the processor throttled."""
    context = browser.new_context(
        base_url=address, viewport={"width": 1024, "height": 768}, timezone_id=str(kitchen.ZONE), has_touch=True
    )
    context.add_cookies([{"name": "tablet", "value": credential, "url": address}])
    page = context.new_page()
    page.goto("/person")
    page.check("[name=saver][value=wren]")
    page.fill("#pin", kitchen.PIN)
    with page.expect_navigation():
        page.click(".who-form button.main")
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


def _transferred_kb(browser: Browser, address: str, credential: str, path: str) -> float:
    """Give what the first view of a page transfers, heads included, with nothing kept from before."""
    context = browser.new_context(base_url=address)
    context.add_cookies([{"name": "tablet", "value": credential, "url": address}])
    page = context.new_page()
    session: CDPSession = context.new_cdp_session(page)
    sizes: list[float] = []
    session.on("Network.loadingFinished", lambda event: sizes.append(event["encodedDataLength"]))
    session.send("Network.enable")
    page.goto(path)
    page.wait_for_load_state("networkidle")
    context.close()
    return sum(sizes) / 1000


_MEASURE = """
window.tapped = (key, until) => new Promise((resolve) => {
  key.addEventListener("click", async (event) => {
    while (!until()) await new Promise((next) => setTimeout(next, 1));
    requestAnimationFrame(() => setTimeout(() => resolve(performance.now() - event.timeStamp), 0));
  }, { once: true });
});
true
"""
"""From the tap itself, as the browser dates it, until the frame that shows it was painted."""


def _tap_ms(page: Page, selector: str, until: str) -> float:
    page.evaluate(_MEASURE)
    page.evaluate(f"void (window.measured = tapped(document.querySelector(`{selector}`), () => {until}))")
    page.click(selector)
    return float(page.evaluate("window.measured"))


def _ready(page: Page, pad: str) -> None:
    page.goto(pad)
    page.check("[name=probe] >> nth=0", force=True)
    page.wait_for_load_state("networkidle")


def _meaning_ms(page: Page, pad: str) -> list[float]:
    """Give how long after its last digit what a number means stands there, painted."""

    def once() -> float:
        _ready(page, pad)
        for digit in "15":
            page.click(f"[data-pad] [data-key='{digit}']")
        said = "document.querySelector('.meaning-now').textContent.includes('156')"
        return _tap_ms(page, "[data-pad] [data-key='6']", said)

    return _rounds(once)


def _key_ms(page: Page, pad: str) -> list[float]:
    def once() -> float:
        _ready(page, pad)
        return _tap_ms(page, "[data-pad] [data-key='1']", "document.getElementById('temperature').value === '1'")

    return _rounds(once)


def _save_ms(page: Page, pad: str, until: str) -> list[float]:
    """Give how long after the tap on Save the screen is so far."""

    def once() -> float:
        _ready(page, pad)
        for digit in "171":
            page.click(f"[data-pad] [data-key='{digit}']")
        page.evaluate("document.querySelector('main').dataset.before = 'yes'")
        return _tap_ms(page, ".save", until)

    return _rounds(once)


def _next_pads(page: Page, pads: list[str]) -> tuple[list[float], list[float], list[float], list[float]]:
    """Give for two readings of each spit how long the next bird, the next spit and the server's answer took."""
    next_bird, next_spit, answered, way = [], [], [], []
    for number, pad in enumerate(pads[1::2]):
        _ready(page, pad)
        times = [_next_ms(page), _next_ms(page)]
        if number:  # the first is for warming up
            next_bird.append(times[0][0])
            next_spit.append(times[1][0])
            answered += [one[1] for one in times]
            way += [one[2] for one in times]
    return next_bird, next_spit, answered, way


_TYPED_MS = 800
"""How long a cook looks at what the number means before Save; the pad of the next spit is fetched meanwhile."""


def _next_ms(page: Page) -> tuple[float, float, float]:
    """Type and save one reading; give how long the next pad took, then the answer, and the way of that alone."""
    for digit in "171":
        page.click(f"[data-pad] [data-key='{digit}']")
    page.wait_for_timeout(_TYPED_MS)
    page.evaluate("document.querySelectorAll('main > .message').forEach((one) => one.remove())")
    page.evaluate(_MEASURE)
    for name, until in (("turned", _NEXT_PAD), ("answered", _ANSWERED)):
        page.evaluate(f"void (window.{name} = tapped(document.querySelector('.save'), () => {until}))")
    page.click(".save")
    turned, answered, way = (float(page.evaluate(one)) for one in ("window.turned", "window.answered", _ROUND_TRIP))
    return turned, answered, way


def _rounds(once: Callable[[], float]) -> list[float]:
    once()
    return [once() for _ in range(ROUNDS)]


# ---- on the server -------------------------------------------------------------------------------------------------


def _cores(app: Flask, credential: str) -> float:
    """Give how much of a core the live updates of all tablets take: each on its first page, each asking what is due."""
    client = app.test_client()
    client.set_cookie("tablet", credential)
    spent = {}
    for path in ("/", "/due"):
        times = []
        for _ in range(ROUNDS * 2):
            start = time.process_time()
            answer = client.get(path, headers={"X-Fragment": "live"})
            times.append(time.process_time() - start)
            assert answer.status_code == 200, answer.status
        spent[path] = statistics.mean(times)
    return TABLETS * (spent["/"] / LIVE_S + spent["/due"] / DUE_S)


if __name__ == "__main__":
    main()
