"""Takes the pictures of the README from the demo kitchen: `make pictures`. Anyone can run it; it touches nothing else.

The app is started on a scratch database with the demo in it, at ten past twelve on a day in June; a browser looks at it
as tablet A and as the person in charge. The printed log is drawn by pdftoppm (Debian: poppler-utils).
"""

import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread
from unittest import mock

from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from werkzeug.serving import make_server

import demo_data
from app import clock, create_app, ledger, register, schema
from app.db import Database
from demo_data import kitchen
from tests.support import chromium

PICTURES = Path(__file__).parent / "pictures"
NOW = datetime(2026, 6, 18, 17, 10, tzinfo=UTC)
BEFORE = "2026-06-17"
"""A day that is over: its log is whole."""


def main() -> None:
    """Take every picture."""
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        mock.patch.object(clock, "utc_now", return_value=NOW),
        serving(Path(folder)) as (address, database),
        sync_playwright() as run,
    ):
        browser = run.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox", "--disable-gpu"])
        on_tablet(browser, address, database)
        in_charge(browser, address, Path(folder))
        browser.close()


@contextmanager
def serving(folder: Path) -> Iterator[tuple[str, Database]]:
    """Serve the demo kitchen from a scratch database."""
    url = f"sqlite:///{folder / 'demo.db'}"
    schema.upgrade(url)
    app = create_app({"DATABASE_URL": url, "SECRET_KEY": "only for pictures"})
    database: Database = app.extensions["database"]
    demo_data.load(database, at=NOW)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}", database
    server.shutdown()


def open_page(browser: Browser, address: str) -> Page:
    """Open a page of the size of a tablet."""
    size = ViewportSize(width=1024, height=768)
    page = browser.new_page(base_url=address, viewport=size, timezone_id=str(kitchen.ZONE))
    page.clock.set_fixed_time(NOW)  # else the page says that the tablet's clock is off
    return page


def on_tablet(browser: Browser, address: str, database: Database) -> None:
    """Take what the cook sees: the first page, the start of a load, a spit being probed, a tray."""
    with database.writing() as session:
        site = register.get_site(session, kitchen.SITE)
        _, credential = register.issue_tablet(session, site, kitchen.TABLET, at=NOW)
    page = open_page(browser, address)
    page.context.add_cookies([{"name": "tablet", "value": credential, "url": address}])
    page.goto("/person")
    page.check("[name=saver][value=wren]")
    page.fill("#pin", kitchen.PIN)
    with page.expect_navigation():  # what is posted leaves once the server has answered
        page.click(".who-form button.main")
    take(page, "home", "/")
    take(page, "start", "/loads/new")
    page.goto(spit_to_probe(database))
    page.check("[name=probe] >> nth=0")
    for digit in "156.3":
        page.click(f"[data-pad=temperature] [data-key='{digit}']")
    page.wait_for_selector(".meaning .says")
    page.evaluate("scrollTo(0, 0)")
    page.screenshot(path=PICTURES / "probe.png")
    take(page, "tray", f"/trays/{tray_with_birds(database)}")


def in_charge(browser: Browser, address: str, folder: Path) -> None:
    """Take what the person in charge sees: the day, and its printed log."""
    page = open_page(browser, address)
    page.goto("/signin")
    page.fill("#login", "ines")
    page.fill("#password", kitchen.PASSWORD)
    with page.expect_navigation():
        page.click("button.main")
    take(page, "day", f"/day/{NOW:%Y-%m-%d}")
    log = folder / "log.pdf"
    log.write_bytes(page.request.get(f"/day/{BEFORE}/log.pdf").body())
    first_page = ["-f", "1", "-l", "1", "-r", "96", "-singlefile", "-png"]
    subprocess.run(["pdftoppm", *first_page, str(log), str(PICTURES / "log")], check=True)


def spit_to_probe(database: Database) -> str:
    """Give the page of a spit that is in the oven."""
    with database.reading() as session:
        day = ledger.assess_day(session, kitchen.SITE, ledger.today(session, kitchen.SITE, NOW), as_of=NOW)
    load, spit = next((load.load, spit.spit) for load in day.loads for spit in load.spits if spit.birds_on)
    return f"/loads/{load}/spits/{spit}/probe"


def tray_with_birds(database: Database) -> str:
    """Give the name of a tray in hot holding."""
    with database.reading() as session:
        day = ledger.assess_day(session, kitchen.SITE, ledger.today(session, kitchen.SITE, NOW), as_of=NOW)
    return next(tray.tray for tray in day.trays if tray.birds_left)


def take(page: Page, name: str, path: str) -> None:
    """Go to a page and take its picture."""
    page.goto(path)
    page.screenshot(path=PICTURES / f"{name}.png")


if __name__ == "__main__":
    main()
