"""A whole day as a cook on an enrolled tablet, in a real browser, with scripts and without."""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from app import ledger
from app.db import Database
from app.rules.day.shown import Assessment
from tests.support import accessibility, cast
from tests.support.screen import PATIENCE_MS, TABLET, press

SetClock = Callable[[datetime | str], None]


class Cook:
    """The cook's hands on the tablet."""

    def __init__(self, page: Page, *, has_scripts: bool, set_clock: SetClock) -> None:
        self.page, self.has_scripts, self.set_clock = page, has_scripts, set_clock

    def enrol(self) -> None:
        """Make this browser tablet A."""
        self.page.goto("/tablet")
        self.page.fill("#credential", cast.token("A"))
        self.tap("Make this device a tablet")

    def come(self, clock: str, name: str = "Casey Cook") -> None:
        """Come to the tablet at a time of the day: choose the name, type the PIN."""
        self.set_clock(clock)
        self.page.clock.set_fixed_time(cast.moment(clock))
        self.page.goto("/person")
        self.say_who(name)
        self.tap("This is me")

    def say_who(self, name: str) -> None:
        """Tap a name and type its PIN."""
        self.page.get_by_label(name).check()
        self.type_number("pin", cast.PIN)

    def tap(self, words: str) -> None:
        """Tap a button or a link that says so, and wait for the page that it leads to. What is due is not meant."""
        here = self.page.locator("main, header")
        button = here.get_by_role("button", name=words).or_(here.get_by_role("link", name=words))
        press(button.first)

    def choose(self, field: str, value: str) -> None:
        """Choose one of a few."""
        self.page.check(f"[name={field}][value='{value}']")

    def type_number(self, field: str, number: str) -> None:
        """Type a number: on the number pad where there are scripts, on the keyboard where there are none."""
        if not self.has_scripts:
            self.page.fill(f"#{field}", number)
            return
        for digit in number:
            self.page.locator(f"[data-pad={field}] [data-key='{digit}']").click()

    def read(self, temperature: str, *, means: str) -> None:
        """Type a reading, look at what it means, save it."""
        self.type_number("temperature", temperature)
        if not self.has_scripts:
            self.tap("Check this number")
        expect(self.page.locator(".meaning")).to_contain_text(means)
        if not self.has_scripts:
            self.tap("Save")
            return
        self.page.locator(".save").click()
        expect(self.page.locator("main > .message")).to_contain_text(f"{temperature} °")

    def check_page(self) -> None:
        """Hold the page to the rules of accessibility; axe itself needs scripts."""
        if self.has_scripts:
            accessibility.check(self.page)


@pytest.fixture(params=[True, False], ids=["with scripts", "without scripts"])
def cook(request: pytest.FixtureRequest, browser: Browser, server: str, set_clock: SetClock) -> Iterator[Cook]:
    """The cook at tablet A, once with scripts and once without."""
    has_scripts: bool = request.param
    with browser.new_context(
        base_url=server, viewport=TABLET, timezone_id=cast.TIMEZONE, has_touch=True, java_script_enabled=has_scripts
    ) as context:
        context.set_default_timeout(PATIENCE_MS)
        cook = Cook(context.new_page(), has_scripts=has_scripts, set_clock=set_clock)
        cook.enrol()
        yield cook


def assessed(database: Database, clock: str) -> Assessment:
    """Assess the day as it stands at a time."""
    with database.reading() as session:
        return ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment(clock))


def start_load(cook: Cook) -> None:
    """Start a load of two spits in the east oven."""
    cook.come("09:00")
    cook.tap("Start a load")
    for number in range(4):
        cook.choose(f"checks-{number}-answer", "yes")
    cook.choose("oven", "east")
    for spit in ("0", "1"):
        cook.page.fill(f"#spits-{spit}-birds", "5")
        cook.page.fill(f"#spits-{spit}-lot", "0412-7")
        cook.page.fill(f"#spits-{spit}-ties", "5")
    cook.check_page()
    cook.tap("Start the load")


def probe_spits(cook: Cook) -> None:
    """Probe spit 1: both birds are done; spit 2: its first bird is not."""
    cook.come("10:30")
    cook.check_page()
    cook.tap("Probe")
    cook.choose("probe", "blue")
    cook.read("171.2", means="171.2 °F: at or above 165 °F.")
    cook.check_page()
    cook.read("166", means="2 of 2 birds probed. If pulled now: met")
    cook.page.goto("/loads/A-L1/spits/2/probe")
    cook.read("156", means="156 °F: under 165 °F. Keep it cooking and probe this bird again.")
    cook.read("168", means="If pulled now: not met")


def pull_spits(cook: Cook) -> None:
    """Pull spit 1, and spit 2 although it is not done."""
    cook.page.goto("/loads/A-L1/spits/1/pull")
    cook.check_page()
    cook.choose("hot_unit", "pass")
    cook.page.fill("#ties_removed", "5")
    press(cook.page.get_by_role("button", name="Pull"))  # what is due above the page says "pull", too, and is a link
    cook.page.goto("/loads/A-L1/spits/2/pull")
    cook.page.fill("#ties_removed", "5")
    cook.check_page()
    cook.tap("Pull anyway: record it")


def answer(cook: Cook, disposition: str) -> None:
    """Record corrective action about the finding that is on the screen."""
    cook.choose("disposition", disposition)
    cook.page.fill("#cause", "The bird nearest the door was the biggest.")
    cook.page.fill("#action", "Kept apart, then thrown away.")
    cook.page.fill("#prevention", "Birds of one size on one spit.")
    cook.check_page()
    cook.tap("Record corrective action")


def test_a_load_is_started_probed_and_pulled(cook: Cook, database: Database) -> None:
    start_load(cook)
    probe_spits(cook)
    pull_spits(cook)
    expect(cook.page.locator("main")).to_contain_text("Pulled at 10:30 with bird 1 at 156 °F in the breast")
    answer(cook, "discard")
    first, second = assessed(database, "10:31").loads[0].spits
    assert (first.verdict, second.verdict) == ("met", "not_met")
    assert {tray.tray for tray in assessed(database, "10:31").trays} == {"A-T1", "A-T2"}
    (finding,) = [one for one in assessed(database, "10:31").findings if one.rule == "cook.core_temperature"]
    assert finding.status == "acted"


@pytest.fixture
def holding(cook: Cook, database: Database) -> Cook:
    """The cook, with two probed trays in hot holding since 10:36."""
    with database.writing() as session:
        drafts = [cast.draft("load_started", at="09:00")]
        drafts += [cast.draft("spit_loaded", at="09:02", spit=spit) for spit in (1, 2)]
        drafts += [cast.draft("cook_reading", at="10:31", spit=spit, bird=bird) for spit in (1, 2) for bird in (1, 2)]
        drafts += [cast.draft("spit_pulled", at="10:36", spit=spit, tray=f"A-T{spit}") for spit in (1, 2)]
        caller = ledger.Caller("cook", "Casey Cook", "cook", "tablet:A")
        results = ledger.append(session, "S1", drafts, by=caller, at=cast.moment("10:40"))
        assert all(result.status == "accepted" for result in results)
    cook.come("12:00")
    return cook


def test_trays_are_checked_served_and_chilled(holding: Cook, database: Database) -> None:
    cook = holding
    cook.page.goto("/trays/A-T1/check")
    cook.choose("probe", "blue")
    cook.check_page()
    cook.read("151.5", means="Next check at 13:30.")
    cook.page.goto("/trays/A-T1")
    cook.check_page()
    cook.tap("All served")
    cook.page.goto("/trays/A-T2/out/chilled")
    cook.choose("cold_unit", "walk-in")
    cook.choose("method", "cut_up")
    cook.check_page()
    cook.tap("Save")
    day = assessed(database, "12:01")
    assert (str(day.birds.served), str(day.birds.chilled)) == ("5", "5")
    assert day.batches[0].batch == "A-B1"


def test_a_low_tray_leads_to_its_corrective_action(holding: Cook, database: Database) -> None:
    cook = holding
    cook.page.goto("/trays/A-T1/check")
    cook.choose("probe", "blue")
    cook.read("131", means="131 °F: under 135 °F.")
    expect(cook.page.locator("main")).to_contain_text("131 °F at 12:00; the limit is 135 °F.")
    answer(cook, "reheat")
    (finding,) = [one for one in assessed(database, "12:01").findings if one.rule == "hold.temperature"]
    assert finding.status == "acted"


def test_a_wrong_entry_is_mended(holding: Cook, database: Database) -> None:
    cook = holding
    cook.tap("Entries")
    cook.check_page()
    press(cook.page.get_by_role("row", name="Cook reading").get_by_role("link", name="Correct").first)
    cook.page.fill("#temperature", "176")
    cook.page.fill("#amend_reason", "Read it upside down.")
    cook.check_page()
    press(cook.page.get_by_role("button", name="Correct", exact=True))
    expect(cook.page.locator("main")).to_contain_text("Why: Read it upside down.")
    assert len(assessed(database, "12:01").superseded_by) == 1


_OTHER_PAGES = ("/", "/findings", "/write", "/write/checklist", "/patterns", "/person", "/loads/A-L1", "/trays/none")


@pytest.mark.parametrize("cook", [True], ids=["with scripts"], indirect=True)
def test_every_other_page_is_accessible(holding: Cook) -> None:
    for path in _OTHER_PAGES:
        holding.page.goto(path)
        holding.check_page()


@pytest.mark.parametrize("cook", [True], ids=["with scripts"], indirect=True)
def test_the_first_page_refreshes_itself(holding: Cook) -> None:
    cook = holding
    cook.page.clock.install(time=cast.moment("12:00"))
    cook.page.goto("/")
    expect(cook.page.locator("main")).to_contain_text("6 min")
    cook.set_clock("12:04")
    cook.page.clock.run_for(25_000)
    expect(cook.page.locator("main")).to_contain_text("2 min")
    cook.set_clock("12:30")
    cook.page.clock.run_for(25_000)
    expect(cook.page.locator("main")).to_contain_text("24 min")


@pytest.mark.parametrize("cook", [True], ids=["with scripts"], indirect=True)
def test_a_bird_thrown_away_does_not_go_into_the_tray(holding: Cook, database: Database) -> None:
    cook = holding
    cook.page.goto("/loads/A-L1/spits/new")
    cook.tap("Load the spit")
    cook.page.goto("/loads/A-L1/spits/3/pull")
    cook.choose("discarded_birds", "2")
    expect(cook.page.locator("#birds")).to_have_value("4")
    cook.page.uncheck("[name=discarded_birds][value='2']")
    expect(cook.page.locator("#birds")).to_have_value("5")


@pytest.mark.parametrize("cook", [True], ids=["with scripts"], indirect=True)
def test_the_degrees_are_those_of_the_probe(holding: Cook) -> None:
    cook = holding
    cook.page.goto("/trays/A-T1/check")
    for probe, sign in (("white", "°F"), ("green", "°C")):
        cook.choose("probe", probe)
        expect(cook.page.locator("[data-unit]")).to_have_text(sign)
        expect(cook.page.locator("[data-asks-unit]")).to_be_hidden()
    cook.choose("probe", "blue")
    expect(cook.page.locator("[data-asks-unit]")).to_be_visible()
