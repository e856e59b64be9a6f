"""Reading a day through the index gives what the whole ledger gives; what is kept beside it can be made anew."""

import random
import uuid
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app import ledger, models
from app import register as register_
from app.ledger import register
from app.ledger.form import typed
from app.ledger.index import rows
from app.rules.day.assess import assess
from app.rules.day.shown import Assessment
from tests.support import cast
from tests.support.diary import Diary
from tests.support.examples import examples
from tests.support.ledger_kitchen import COOK, EVENING, Kitchen, spit_loaded, tray_filled
from tests.support.random_ledger import fresh_kitchen, seen_at, shown, write_down

LAST_DAY = cast.DAY + timedelta(days=9)


def from_everything(kitchen: Kitchen, day: date, *, as_of: datetime, through_seq: int) -> Assessment:
    """Assess a day from every entry of the ledger."""
    with kitchen.database.reading() as session:
        row = register.get_site_row(session, "S1")
        head = ledger.head(session, "S1")[0]
        every = typed.typed(rows.by_seqs(session, row.id, range(1, head + 1)))
    return assess(day, every, as_of=as_of, through_seq=through_seq)


@pytest.mark.long
@examples(20)
@given(seed=st.integers(0, 2**32), entries=st.sampled_from([30, 90, 200]))
def test_a_day_read_through_the_index_is_the_day_of_the_whole_ledger(
    sqlite_template: Path, seed: int, entries: int
) -> None:
    rng = random.Random(seed)
    with fresh_kitchen(sqlite_template) as kitchen:
        end = write_down(kitchen, rng, entries)
        head = cast.nth(len(kitchen.lines()))
        for _ in range(4):
            day = cast.DAY + timedelta(days=rng.randint(-1, (end.date() - cast.DAY).days + 1))
            as_of = rng.choice([end, end, cast.moment("12:00", day=day), cast.moment("23:59", day=day)])
            through_seq = rng.choice([head, head, rng.randint(cast.SET_UP, head)])
            whole = from_everything(kitchen, day, as_of=as_of, through_seq=through_seq)
            assert shown(kitchen.assess(day=day, as_of=as_of, through_seq=through_seq)) == shown(whole)


@examples(10)
@given(seed=st.integers(0, 2**32))
def test_the_index_made_anew_is_the_index_that_was_kept(sqlite_template: Path, seed: int) -> None:
    with fresh_kitchen(sqlite_template) as kitchen:
        write_down(kitchen, random.Random(seed), 120)
        kept = kitchen.tables()
        with kitchen.database.writing() as session:
            ledger.rebuild_index(session, "S1", at=EVENING)
        assert kitchen.tables() == kept
        assert kitchen.verify() is None


@examples(10)
@given(seed=st.integers(0, 2**32), data=st.data())
def test_any_posts_of_the_same_entries_give_the_same_ledger(
    sqlite_template: Path, seed: int, data: st.DataObject
) -> None:
    drafts = Diary(random.Random(seed)).write(60)
    now = max(map(seen_at, drafts))
    cuts = sorted(data.draw(st.sets(st.integers(1, len(drafts) - 1), max_size=8)))
    with fresh_kitchen(sqlite_template) as one, fresh_kitchen(sqlite_template) as other:
        at_once = one.post(*drafts, at=now)
        parts = [drafts[start:end] for start, end in zip([0, *cuts], [*cuts, None], strict=True)]
        split = [result for part in parts for result in other.post(*part, at=now)]
        assert split == at_once
        assert other.lines() == one.lines()
        assert other.tables() == one.tables()
        again = other.post(*(draft for draft, result in zip(drafts, at_once, strict=True) if result.seq), at=now)
        assert {result.status for result in again} == {"duplicate"}


def test_the_same_history_is_read_on_each_database(kitchen: Kitchen) -> None:
    end = write_down(kitchen, random.Random(7), 120)
    head = cast.nth(len(kitchen.lines()))
    for day in (cast.DAY + timedelta(days=number) for number in range(4)):
        whole = from_everything(kitchen, day, as_of=end, through_seq=head)
        assert shown(kitchen.assess(day=day, as_of=end)) == shown(whole)
    kept = kitchen.tables()
    with kitchen.database.writing() as session:
        ledger.rebuild_index(session, "S1", at=end)
    assert kitchen.tables() == kept


def test_a_forgotten_tray_is_carried_from_day_to_day(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    as_of = cast.moment("12:00", day=LAST_DAY)
    day = kitchen.assess(day=LAST_DAY, as_of=as_of)
    assert [tray.tray for tray in day.trays] == ["A-T1"]
    assert [load.load for load in day.loads] == []
    assert {entry.kind for entry in day.entries} == {"load_started", "spit_loaded", "spit_pulled"}


def test_a_day_before_a_late_entry_is_read_as_it_was(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    as_of = cast.moment("12:00", day=LAST_DAY)
    kitchen.accept(cast.draft("tray_out", at="13:00", birds=5), at=as_of)
    assert kitchen.assess(day=LAST_DAY, as_of=as_of).trays == ()
    before = kitchen.assess(day=LAST_DAY, as_of=as_of, through_seq=cast.nth(3))
    assert [tray.tray for tray in before.trays] == ["A-T1"]


def test_a_load_over_the_days_start_brings_the_humidity_of_its_oven(kitchen: Kitchen) -> None:
    """The pull at 04:30 rests on what the oven showed before the business day began at 04:00."""
    pair = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
    with kitchen.database.writing() as session:
        site = session.get_one(models.Site, 1)
        cast.add_plan(session, site, 2, settings=pair, adopted_by="pat")
    humid = [cast.draft("oven_setting", at=at, rotation=..., humidity="95") for at in ("02:50", "03:55")]
    cook = [
        cast.draft("load_started", at="02:45"),
        cast.draft("spit_loaded", at="02:46", birds=1),
        cast.draft("cook_reading", at="02:47", temperature="40"),
        cast.draft("cook_reading", at="04:25", temperature="160", held_s="252"),
        cast.draft("spit_pulled", at="04:30", birds=1),
    ]
    kitchen.accept(*cook[:1], *humid, *cook[1:])
    (spit,) = kitchen.assess().loads[0].spits
    assert (spit.verdict, spit.conditions and spit.conditions.humidity) == ("met", "met")


def test_through_seq_over_the_head_is_the_head(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded())
    assert kitchen.assess(through_seq=99).through_seq == cast.nth(2)


def test_an_entry_is_found_by_its_id(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    mended = {**note, "id": str(uuid.uuid4()), "amends": note["id"], "amend_reason": "slip", "text": "better"}
    kitchen.accept(note, mended)
    with kitchen.database.reading() as session:
        found = ledger.find_entry(session, "S1", mended["id"].upper())
        assert ledger.find_entry(session, "S1", str(uuid.uuid4())) is None
        assert ledger.find_entry(session, "S1", "no id at all") is None
    assert found is not None
    assert (found.seq, found.root_seq, found.root, found.amends) == (cast.nth(2), cast.nth(1), note["id"], note["id"])


def test_the_hashed_objects_of_a_day_are_given_with_their_hashes(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    with kitchen.database.reading() as session:
        bodies = ledger.day_bodies(session, "S1", kitchen.assess().entries)
    assert [body["seq"] for body in bodies] == [cast.nth(number) for number in (1, 2, 3)]
    assert [body["hash"] for body in bodies] == [body["previous_hash"] for body in bodies[1:]] + [
        ledger_head(kitchen)[1]
    ]


def ledger_head(kitchen: Kitchen) -> tuple[int, str]:
    with kitchen.database.reading() as session:
        return ledger.head(session, "S1")


def test_lines_go_on_after_a_seq(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    assert kitchen.lines(after_seq=2) == kitchen.lines()[2:]
    assert kitchen.lines(after_seq=3) == kitchen.lines(after_seq=99) == []


def test_the_site_as_the_rules_see_it(kitchen: Kitchen) -> None:
    with kitchen.database.reading() as session:
        site = ledger.read_site(session, "S1")
        assert ledger.read_site(session, "S9") is None
        assert [replace(one, values="") for one in ledger.read_plans(session, "S1")] == [cast.ADOPTED]
        assert ledger.today(session, "S1", cast.moment("03:59")) == cast.DAY - timedelta(days=1)
    assert site == cast.site_facts()


def test_what_was_listed_before_the_kitchens_first_entry_was_there_from_the_beginning(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        register_.add_equipment(session, register_.get_site(session, "S1"), "probe", "early", at=cast.moment("11:00"))
    kitchen.accept(cast.draft("note", at="12:00"))
    with kitchen.database.writing() as session:
        register_.add_equipment(session, register_.get_site(session, "S1"), "probe", "later", at=EVENING)
    with kitchen.database.reading() as session:
        site = ledger.read_site(session, "S1")
    assert site is not None
    listed = {code: site.equipment[code].since for code in ("early", "later")}
    assert listed == {"early": None, "later": EVENING}


@pytest.mark.parametrize("call", [ledger.head, ledger.read_plans])
def test_an_unknown_site_is_told_from_an_empty_one(kitchen: Kitchen, call: Any) -> None:
    with kitchen.database.reading() as session, pytest.raises(LookupError):
        call(session, "S9")


def test_a_callers_kind_is_told_by_via() -> None:
    assert not COOK.is_tablet


def test_reading_sees_one_state_of_the_ledger(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    before = ledger_head(kitchen)[0]
    with kitchen.database.reading() as session:
        assert ledger.head(session, "S1")[0] == before
        kitchen.accept(cast.draft("note", at="13:00"))
        assert ledger.head(session, "S1")[0] == before
    assert ledger_head(kitchen)[0] == before + 1


def test_humidity_read_at_the_instant_of_a_pull_after_the_days_end_counts_for_its_load(kitchen: Kitchen) -> None:
    """The load began before four in the morning; it is looked at in the day on which it began."""
    pair = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
    with kitchen.database.writing() as session:
        cast.add_plan(session, register_.get_site(session, "S1"), 2, settings=pair, variance="V-17")
    began, pulled = (cast.moment(at, day=cast.DAY + timedelta(days=1)) for at in ("03:00", "04:30"))
    humid = [cast.draft("oven_setting", at=at, humidity="92") for at in (began + timedelta(minutes=30), pulled)]
    cooked = [cast.draft("load_started", at=began), cast.draft("spit_loaded", at=began), *humid]
    kitchen.accept(*cooked, cast.draft("spit_pulled", at=pulled), at=pulled)
    (spit,) = kitchen.assess(as_of=pulled).loads[0].spits
    assert spit.conditions is not None
    assert spit.conditions.humidity == "met"
