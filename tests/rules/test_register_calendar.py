"""What the register says of a day and of a moment: from when a change holds, how much of it was known."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from app.kinds import EquipmentSet, PersonSet, PlanAdopted, RegisterEntry, SiteSet
from app.rules.day import assess as rules
from app.rules.day.register_calendar import register_calendar
from tests.support import set_up
from tests.support.cast import DAY, entry, moment

SECOND, DAY_LONG = timedelta(seconds=1), timedelta(days=1)
BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)
"""What an upgrade of an older database writes for what was there before all entries."""

REGISTER = set_up.register()
LAST = max(one.seq for one in REGISTER)


def first(kind: type[RegisterEntry]) -> Any:
    """Give the first entry of a kind in the register of the cast."""
    return next(one for one in REGISTER if isinstance(one, kind))


def later(one: RegisterEntry, at: datetime, *, after: int = 1, **changes: Any) -> Any:
    """Give an entry written after all of these, at a moment."""
    seq = LAST + after
    told = {"seq": seq, "root_seq": seq, "id": f"later-{seq}", "root": f"later-{seq}"}
    return replace(one, **told, recorded_at=at, observed_at=at, **changes)


def calendar(*more: RegisterEntry, through_seq: int | None = None) -> Any:
    return register_calendar([*REGISTER, *more], through_seq=through_seq)


# ---- from when on ----------------------------------------------------------------------------------------------------


def test_a_day_has_the_zone_and_the_name_that_hold_at_its_noon():
    noon = moment("12:00", timezone="America/Denver")
    for at, name in ((noon, "Moved"), (noon + SECOND, "Kitchen S1")):
        site = calendar(later(first(SiteSet), at, timezone="America/Denver", name="Moved")).site_on(DAY)
        assert (site.name, site.timezone.key == "America/Denver") == (name, name == "Moved")


def test_a_day_has_the_names_that_people_have_when_it_ends():
    renamed = calendar(later(first(PersonSet), moment("15:00"), name="Casey Baker"))
    assert renamed.site_on(DAY).people["cook"].name == "Casey Baker"
    assert renamed.site_on(DAY - DAY_LONG).people["cook"].name == "Casey Cook"


def test_what_is_written_at_an_entry_is_known_at_it_and_not_before():
    renamed = later(first(PersonSet), moment("09:00"), name="Casey Baker")
    names = [calendar(renamed, through_seq=seq).site.people["cook"].name for seq in (renamed.seq - 1, renamed.seq)]
    assert names == ["Casey Cook", "Casey Baker"]


def test_the_first_plan_holds_however_little_is_known():
    assert calendar(through_seq=first(SiteSet).seq).plan_at(moment("09:00")).version == first(PlanAdopted).version


# ---- what was always there -------------------------------------------------------------------------------------------


def listed(code: str, at: datetime, **changes: Any) -> Any:
    return later(first(EquipmentSet), at, code=code, type="oven", scale=None, **changes)


def test_what_was_listed_before_the_kitchens_first_entry_was_always_there():
    """Until then the register's entries follow each other without a hole."""
    assert calendar(listed("north", moment("09:00"))).site.equipment["north"].since is None
    assert calendar(listed("north", moment("09:00"), after=2)).site.equipment["north"].since == moment("09:00")


def test_what_an_upgrade_wrote_of_the_beginning_was_always_there():
    """An upgraded register begins with what the upgrade wrote: where its entries stand in the ledger says nothing."""
    old = [replace(one, source="upgrade", holds_from=BEGINNING) for one in REGISTER]
    new = listed("north", moment("09:00"))
    site = register_calendar([*old, new]).site
    assert (site.equipment["east"].since, site.equipment["north"].since) == (None, moment("09:00"))


def test_an_upgrade_that_wrote_the_site_alone_says_nothing_of_the_equipment():
    site_set = replace(first(SiteSet), source="upgrade", holds_from=BEGINNING)
    rest = [one for one in REGISTER if not isinstance(one, SiteSet)]
    assert register_calendar([site_set, *rest]).site.equipment["east"].since == first(EquipmentSet).recorded_at


# ---- what a day says of its changes ----------------------------------------------------------------------------------


def changes_of(*more: RegisterEntry, through_seq: int | None = None) -> list[int]:
    day = rules.assess(
        DAY, [*REGISTER, *more, entry("note", at="09:00")], as_of=moment("20:00"), through_seq=through_seq
    )
    return [one.seq for one in day.set_up]


def test_a_day_tells_the_changes_of_its_register_as_far_as_they_are_known():
    before = later(first(PersonSet), moment("03:59:59"))
    of_day = later(first(PersonSet), moment("04:00"), after=2)
    after = later(first(PersonSet), moment("18:00"), after=3)
    assert changes_of(before, of_day, after) == [of_day.seq, after.seq]
    assert changes_of(before, of_day, after, through_seq=of_day.seq) == [of_day.seq]
    assert changes_of(before, of_day, after, through_seq=after.seq) == [of_day.seq, after.seq]


def test_what_an_upgrade_wrote_down_is_no_change_of_its_day():
    assert changes_of(later(first(PersonSet), moment("10:00"), source="upgrade", holds_from=BEGINNING)) == []


def test_a_day_tells_each_plan_that_was_in_force_in_it():
    """At its start, and adopted in it up to the moment that is asked about."""
    moments = ["04:00", "10:00", "18:00"]
    plans = [
        later(first(PlanAdopted), moment(at), after=number, version=number)
        for number, at in enumerate([*moments, "03:59"], start=2)
    ]
    plans.append(later(first(PlanAdopted), moment("04:00", day=DAY + DAY_LONG), after=6, version=6))

    def versions(as_of: str) -> list[int]:
        return [one.version for one in calendar(*plans).plans_on(DAY, moment(as_of))]

    assert versions("09:59") == [2]
    assert versions("10:00") == [2, 3]
    assert versions("20:00") == [2, 3, 4]


# ---- signatures ------------------------------------------------------------------------------------------------------


def is_stale(*changes: RegisterEntry, through_seq: int | None = None) -> bool:
    """A day with a unit nobody checked, signed at 10:00 of the next; then the register changed."""
    work = entry("equipment_out", at="09:00", seq=LAST + 10)
    next_day = {"day": DAY + DAY_LONG}
    told = {"covers_seq": LAST + 10, "covers_hash": "0" * 64, "signer_name": "Pat Porter"}
    signing = entry(
        "sign_off", at=moment("10:00", **next_day), seq=LAST + 11, as_of=moment("10:00", **next_day), **told
    )
    as_of = moment("12:00", **next_day)
    day = rules.assess(DAY, [*REGISTER, *changes, work, signing], as_of=as_of, through_seq=through_seq)
    assert day.signed is not None
    return day.signed.stale


def moved_away(**changes: Any) -> Any:
    """The site is found to lie in another zone, from before that day's noon on: its day ends at another instant."""
    return later(first(SiteSet), moment("08:00"), after=12, timezone="America/Denver", **changes)


def test_a_change_of_the_site_that_changes_a_finding_makes_a_signature_stale():
    assert not is_stale()
    assert is_stale(moved_away())
    assert is_stale(moved_away(), later(first(PersonSet), moment("18:00"), after=13), through_seq=LAST + 13)


def test_what_was_known_at_the_signature_or_is_not_known_yet_does_not():
    assert not is_stale(later(first(SiteSet), moment("08:00"), after=9, timezone="America/Denver"))
    assert not is_stale(moved_away(), through_seq=LAST + 11)


def test_nor_does_somebody_who_is_called_otherwise():
    assert not is_stale(later(first(PersonSet), moment("08:00"), after=12, name="Casey Baker"))


def test_a_plan_is_that_of_its_moment_whichever_was_asked_about_before():
    noon = moment("12:00")
    known = calendar(later(first(PlanAdopted), noon, version=2))
    asked = [noon - SECOND, noon, noon + DAY_LONG, noon - SECOND, noon + SECOND, noon - DAY_LONG]
    assert [known.plan_at(at).version for at in asked] == [1, 2, 2, 1, 2, 1]
