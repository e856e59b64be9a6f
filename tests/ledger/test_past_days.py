"""What a past day means hangs on the ledger alone: later changes of the register and of the program change none."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy.orm import Session

from app import ledger, models, register
from app.rules.plans import plan
from tests.support import cast
from tests.support.ledger_kitchen import EVENING, PAT, Kitchen

NEXT_DAY, LATER = EVENING + timedelta(days=1), EVENING + timedelta(days=3)
HASHED = register.Hashed("a hash")


def test_a_demotion_around_a_verification_lets_nobody_accept_her_own_action(sqlite_kitchen: Kitchen) -> None:
    """Sam, in charge too, wrote an entry of the day: what Pat did wants Sam's eyes, whatever her role is meanwhile."""
    sqlite_kitchen.accept(cast.draft("note", at="08:00"), by=sam(), at="08:00")
    delivery = cast.draft("receiving", at="09:00", temperature="50")
    sqlite_kitchen.accept(delivery, at="09:00")
    key = f"receive.temperature:receiving:{delivery['lot']}:{delivery['id']}"
    sqlite_kitchen.accept(cast.draft("corrective_action", at="09:10", findings=[key]), by=PAT, at="09:10")
    set_role(sqlite_kitchen, "cook", "09:20")
    sqlite_kitchen.accept(cast.draft("action_verified", at="09:21", findings=[key]), by=PAT, at="09:21")
    set_role(sqlite_kitchen, "in_charge", "09:22")
    (found,) = [one for one in sqlite_kitchen.assess().findings if one.key == key]
    assert found.status == "acted"


def sam() -> ledger.Caller:
    return ledger.Caller("sam", "Sam Silva", "in_charge", "session")


def set_role(kitchen: Kitchen, role: str, at: str) -> None:
    kitchen.change_register(lambda session, site: register.set_role(session, site, "sam", role, at=cast.moment(at)))


def signed(kitchen: Kitchen) -> Any:
    kitchen.accept(cast.draft("note", at="12:00"), at="12:00")
    with kitchen.database.writing() as session:
        ledger.sign(session, "S1", cast.DAY, by=PAT, at=EVENING, shown=ledger.head(session, "S1"))
    return kitchen.assess(as_of=EVENING).signed


@pytest.mark.parametrize(
    ("what", "is_stale"),
    [
        (lambda session, site: register.set_role(session, site, "sam", "cook", at=EVENING), False),
        (lambda session, site: register.change_site(session, site, name="Kitchen One", at=EVENING), False),
        (lambda session, site: register.add_equipment(session, site, "probe", "red", at=EVENING), False),
        (lambda session, site: register.add_equipment(session, site, "cold_unit", "annex", at=EVENING), False),
        (lambda session, site: register.change_site(session, site, timezone="Europe/Madrid", at=EVENING), False),
    ],
    ids=["role", "name", "probe", "cold unit", "time zone"],
)
def test_the_register_makes_no_signature_stale_unless_a_finding_changes(
    sqlite_kitchen: Kitchen, what: Callable[[Session, models.Site], object], *, is_stale: bool
) -> None:
    assert signed(sqlite_kitchen).stale is False
    sqlite_kitchen.change_register(what)
    day = sqlite_kitchen.assess(as_of=EVENING).signed
    assert day is not None
    assert day.stale is is_stale


def test_a_signature_is_stale_once_a_change_of_the_register_changes_a_finding(sqlite_kitchen: Kitchen) -> None:
    """A cold unit that was hardly checked is retired before the day is over: it is no longer found wanting."""
    kitchen = sqlite_kitchen
    kitchen.accept(cast.draft("unit_check", at="11:00", unit_code="blast"), at="11:00")
    assert signed(kitchen).stale is False
    kitchen.change_register(lambda session, site: register.retire_equipment(session, site, "walk-in", at=EVENING))
    day = kitchen.assess(as_of=NEXT_DAY).signed
    assert day is not None
    assert day.stale is True


def test_a_day_keeps_its_time_zone_and_its_name(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(cast.draft("note", at="12:00"), at="12:00")
    sqlite_kitchen.change_register(
        lambda session, site: register.change_site(session, site, timezone="Europe/Madrid", at=EVENING)
    )
    sqlite_kitchen.change_register(
        lambda session, site: register.change_site(session, site, name="Kitchen One", at=EVENING)
    )
    days = [sqlite_kitchen.assess(day=cast.DAY + timedelta(days=number), as_of=NEXT_DAY) for number in (0, 1)]
    assert [day.site.timezone.key for day in days] == ["America/Chicago", "Europe/Madrid"]
    assert [day.site.name for day in days] == ["Kitchen S1", "Kitchen One"]
    assert days[0].ends_at == days[1].starts_at


@pytest.fixture
def another_edition(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> Iterator[Callable[[], None]]:
    """Bring in an edition of the codes in which hot food is held at 150 °F and half of the rules are not in force."""

    def bring_in() -> None:
        for path in plan._FOLDER.glob("*.toml"):
            code = path.read_text("utf-8").replace("F = 135, C = 57", "F = 150, C = 66").replace('"holding", ', "")
            (tmp_path / path.name).write_text(code, "utf-8")
        monkeypatch.setattr(plan, "_FOLDER", tmp_path)
        plan.read_code.cache_clear()
        plan.resolve.cache_clear()

    yield bring_in
    monkeypatch.undo()
    plan.read_code.cache_clear()
    plan.resolve.cache_clear()


def test_a_later_edition_of_the_program_changes_no_adopted_plan(
    sqlite_kitchen: Kitchen, another_edition: Callable[[], None]
) -> None:
    before = sqlite_kitchen.assess().plan
    another_edition()
    after = sqlite_kitchen.assess().plan
    assert (after.limits, after.sources) == (before.limits, before.sources)
    sqlite_kitchen.adopt({})
    anew = sqlite_kitchen.assess(day=cast.DAY + timedelta(days=1), as_of=NEXT_DAY).plan
    assert (str(anew.limits.hot_holding.F), anew.has("holding")) == ("150", False)
