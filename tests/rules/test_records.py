"""Findings answered, verified, cleared by mending; days signed, stale, and due."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.kinds import Entry
from app.rules.day.records import KeyParts, parse_key
from tests.support.cast import DAY, entry, moment
from tests.support.story import adopted, found, hot_tray, loaded, out, probed, read, told, verdict_of

NEXT = date(2026, 4, 15)
PLANS = [adopted(controls="cooking,holding,balance")]
UNDERCOOKED = [*loaded(), *probed("156", "170"), entry("spit_pulled", at="10:36"), out("5", "11:00", "discarded")]


def key(story: list[Entry]) -> str:
    return told(story, plans=PLANS).findings[0].key


def action(story: list[Entry], at: str = "12:00", person: str = "cook", **fields: object) -> Entry:
    return entry("corrective_action", at=at, person=person, findings=[key(story)], **fields)


def verified(story: list[Entry], at: str = "13:00", person: str = "pat", outcome: str = "accepted") -> Entry:
    return entry("action_verified", at=at, person=person, findings=[key(story)], outcome=outcome)


def status(*answers: Entry) -> str:
    return str(told([*UNDERCOOKED, *answers], plans=PLANS).findings[0].status)


def test_a_finding_is_open_then_acted_then_verified():
    assert status() == "open"
    assert status(action(UNDERCOOKED)) == "acted"
    assert status(action(UNDERCOOKED), verified(UNDERCOOKED)) == "verified"


def test_sent_back_is_open_again_and_a_later_action_answers_it():
    sent_back = verified(UNDERCOOKED, outcome="sent_back")
    assert status(action(UNDERCOOKED), sent_back) == "open"
    assert status(action(UNDERCOOKED), sent_back, action(UNDERCOOKED, at="13:30")) == "acted"


def test_the_authors_own_verification_counts_only_with_nobody_else_in_charge_that_day():
    own = [action(UNDERCOOKED, person="pat"), verified(UNDERCOOKED)]
    assert status(*own) == "verified"
    assert status(*own, entry("note", at="09:00", person="sam")) == "acted"
    assert status(*own, entry("note", at=moment("09:00", day=NEXT), person="sam")) == "verified"
    answers = told([*UNDERCOOKED, *own], plans=PLANS).answers[key(UNDERCOOKED)]
    assert answers.by_author


def test_a_key_that_names_any_entry_of_the_finding_answers_it():
    low = [*hot_tray(), read("130", "11:00"), read("131", "11:10"), out("5", "11:20", "discarded")]
    second = key(low).rpartition(":")[0] + f":{low[-2].id}"
    acted = entry("corrective_action", at="11:15", findings=[second], disposition="discard")
    assert str(told([*low, acted], plans=PLANS).findings[0].status) == "acted"


def test_critical_limits_want_verification_and_gaps_only_an_action():
    gap = [*hot_tray(), read("140", "12:40"), out("5", "12:50")]
    assert not told([*gap], plans=PLANS).ready_to_sign
    assert told([*gap, action(gap, at="12:45", disposition="none")], plans=PLANS).ready_to_sign
    assert not told([*UNDERCOOKED, action(UNDERCOOKED)], plans=PLANS).ready_to_sign
    assert told([*UNDERCOOKED, action(UNDERCOOKED), verified(UNDERCOOKED)], plans=PLANS).ready_to_sign


def test_food_already_out_wants_verification_though_another_action_says_nothing_of_it():
    gap = [*hot_tray(), read("140", "12:40"), out("5", "12:50")]
    acted = [action(gap, at=at, disposition=said) for at, said in (("13:00", "already_out"), ("13:10", "none"))]
    assert not told([*gap, *acted], plans=PLANS).ready_to_sign
    assert told([*gap, *acted, verified(gap, at="13:20")], plans=PLANS).ready_to_sign


def test_a_release_answers_nothing_by_itself_and_hides_no_action_after_it():
    plans = [adopted(controls="cooking,set_aside")]
    few = [*loaded(), *probed("170"), entry("spit_pulled", at="10:36")]
    freed = entry("release", at="10:50", person="pat", findings=[key(few)])
    assert str(told([*few, freed], plans=plans).findings[0].status) == "open"
    acted = action(few, at="11:00", disposition="hold_for_evaluation")
    assert str(told([*few, freed, acted], plans=plans).findings[0].status) == "acted"


# ---- mending ----------------------------------------------------------------------------------------------------


def mended(value: str = "165.6") -> list[Entry]:
    wrong = entry("cook_reading", at="10:30", bird=1, temperature="156")
    right = entry(
        "cook_reading",
        at="10:30",
        bird=1,
        temperature=value,
        of=wrong,
        amend_reason="typing",
        person="robin",
        seq=10**6,
    )
    return [*loaded(), wrong, *probed("170", "170")[1:], entry("spit_pulled", at="10:36"), out("5", "11:00"), right]


def test_a_mending_clears_a_finding_and_wants_verification_all_the_same():
    day = told(mended(), plans=PLANS)
    assert day.findings == ()
    item = day.cleared[0]
    assert (item.finding.rule, item.finding.status, item.mended_by.person) == (
        "cook.core_temperature",
        "acted",
        "robin",
    )
    assert [block.kind for block in day.blocking] == ["cleared"]


def test_the_mender_cannot_verify_where_somebody_else_is_in_charge():
    story = mended()
    cleared_key = told(story, plans=PLANS).cleared[0].finding.key
    accepted = entry(
        "action_verified", at="12:00", person="pat", findings=[cleared_key], outcome="accepted", seq=10**6 + 1
    )
    assert told([*story, accepted], plans=PLANS).ready_to_sign


def test_a_mending_that_leaves_the_finding_clears_nothing():
    day = told(mended("157"), plans=PLANS)
    assert [finding.rule for finding in day.findings] == ["cook.core_temperature"]
    assert day.cleared == ()


def test_a_slip_mended_before_the_pull_clears_nothing():
    story = mended()
    early = [e for e in story if e.kind not in ("spit_pulled", "tray_out")]
    pull = [entry("spit_pulled", at="10:36", seq=10**6 + 1), out("5", "11:00")]
    assert told([*early, *pull], plans=PLANS).cleared == ()


def test_mending_twice_hides_nothing():
    story = mended()
    again = entry(
        "cook_reading", at="10:30", bird=1, temperature="166", of=story[-1], amend_reason="again", seq=10**6 + 5
    )
    again = replace(again, root=story[-1].root, root_seq=story[-1].root_seq)
    assert len(told([*story, again], plans=PLANS).cleared) == 1


def test_what_would_not_stand_today_without_the_mending_is_not_cleared():
    wrong = entry("spit_pulled", at="10:20")
    story = [*loaded(), wrong, *probed("170", "171", at="10:19"), out("5", "11:00")]
    moved = entry("spit_pulled", at="10:36", of=wrong, amend_reason="time", seq=10**6)
    assert told([*story, moved], plans=PLANS).cleared == ()


def test_a_withdrawn_reading_clears_what_it_raised():
    low = read("130", "11:00")
    gone = entry("hold_reading", at="11:05", of=low, withdrawn=True, seq=10**6)
    day = told([*hot_tray(), low, out("5", "11:20"), gone], plans=PLANS)
    assert [item.finding.rule for item in day.cleared] == ["hold.temperature"]


# ---- signing ----------------------------------------------------------------------------------------------------

QUIET = [*hot_tray(), out("5", "11:00")]


def signed(covers: Entry, at: object = "21:00", person: str = "pat") -> Entry:
    fields = {"covers_seq": covers.seq, "covers_hash": "0" * 64, "signer_name": "Pat Porter", "as_of": moment("21:00")}
    return entry("sign_off", at=at, person=person, **fields)


def test_a_day_is_signed_until_a_later_entry_touches_it():
    signing = signed(QUIET[-1])
    assert told([*QUIET, signing], plans=PLANS, as_of="22:00").signed.stale is False
    for later in (entry("note", at="20:30"), read("140", "10:50"), entry("note", at="21:30")):
        assert told([*QUIET, signing, later], plans=PLANS, as_of="22:00").signed.stale


def test_an_entry_that_is_moved_out_of_the_day_touches_it_too():
    note = entry("note", at="10:00")
    moved = entry("note", at=moment("10:00", day=NEXT), of=note, amend_reason="the day after")
    story = [*QUIET, note, signed(note)]
    assert not told(story, plans=PLANS, as_of=moment("11:00", day=NEXT)).signed.stale
    assert told([*story, moved], plans=PLANS, as_of=moment("11:00", day=NEXT)).signed.stale


def test_an_entry_of_the_next_day_leaves_the_signature_alone():
    signing = signed(QUIET[-1])
    later = entry("note", at=moment("08:00", day=NEXT))
    assert not told([*QUIET, signing, later], plans=PLANS, as_of=moment("09:00", day=NEXT)).signed.stale


def test_a_signature_is_not_made_stale_by_itself_when_its_time_has_run_out():
    later = moment("09:00", day=date(2026, 4, 20))
    story = [*QUIET, signed(QUIET[-1]), entry("note", at=moment("08:00", day=NEXT))]
    assert not told(story, plans=PLANS, as_of=later).signed.stale


def test_a_late_answer_or_a_delivery_that_changes_a_finding_makes_it_stale():
    plans = [adopted(controls="cooking,holding,balance,receiving")]
    signing = signed(QUIET[-1])
    delivery = entry("receiving", at=moment("08:00", day=NEXT))
    assert told([*QUIET, signing, delivery], plans=plans, as_of=moment("09:00", day=NEXT)).signed.stale


def test_a_new_signature_settles_it():
    note = entry("note", at="20:30")
    day = told([*QUIET, signed(QUIET[-1]), note, signed(note, at="21:10")], plans=PLANS, as_of="22:00")
    assert (day.signed.stale, day.signed.covers_seq) == (False, note.seq)


DUE = moment("04:00", day=date(2026, 4, 16))
"""The end of the next business day."""


@pytest.mark.parametrize(
    ("after_due_s", "verdict"), [(-25200, "none"), (0, "none"), (1, "not_shown")], ids=["before", "then", "after"]
)
def test_a_day_is_signed_by_the_end_of_the_next_business_day(after_due_s, verdict):
    signing = signed(QUIET[-1], at=DUE + timedelta(seconds=after_due_s))
    day = told([*QUIET, signing], plans=PLANS, as_of=DUE + timedelta(hours=1))
    assert verdict_of(day, "record.sign_off_due") == verdict
    assert all(finding.key.endswith(f"day:{DAY}:{DAY}") for finding in found(day, "record.sign_off_due"))


def test_a_day_signed_too_late_is_signed_from_the_first_time_on():
    late = [signed(QUIET[-1], at=DUE + timedelta(minutes=minutes)) for minutes in (10, 20)]
    finding = found(told([*QUIET, *late], plans=PLANS, as_of=DUE + timedelta(hours=1)), "record.sign_off_due")[0]
    assert finding.ended_at == DUE + timedelta(minutes=10)


@pytest.mark.parametrize(("as_of", "verdict"), [(DUE - timedelta(seconds=1), "none"), (DUE, "not_shown")])
def test_a_day_that_nobody_signed_is_found_when_that_day_ends(as_of, verdict):
    assert verdict_of(told(QUIET, plans=PLANS, as_of=as_of), "record.sign_off_due") == verdict


def test_a_day_signed_late_owes_its_signature_and_no_corrective_action_besides():
    """That somebody looks at the records (9 CFR 417.5(c)) is what is owed, and signing is that; a house rule."""
    day = told(QUIET, plans=PLANS, as_of=DUE)
    assert [finding.rule for finding in day.findings] == ["record.sign_off_due"]
    assert (day.blocking, day.ready_to_sign) == ((), True)


def test_a_day_without_entries_owes_no_signature():
    assert told([], plans=PLANS, as_of=moment("05:00", day=date(2026, 4, 16))).findings == ()


def test_a_tray_hot_while_the_day_runs_stands_in_the_way_and_one_in_time_after_it_does_not():
    """Read until 03:00, so that its next check is due at 04:30; the day ends at 04:00."""
    nights = [read("140", moment(at, day=NEXT)) for at in ("00:00", "01:30", "03:00")]
    evening = [read("140", at) for at in ("12:00", "13:30", "15:00", "16:30", "18:00", "19:30", "21:00", "22:30")]
    blocked = {
        at: [block.kind for block in told([*hot_tray(), *evening, *nights], plans=PLANS, as_of=at).blocking]
        for at in (moment(clock, day=NEXT) for clock in ("03:10", "04:00", "04:30", "04:30:01"))
    }
    assert list(blocked.values()) == [["running"], [], [], ["running"]]


def test_who_made_the_records_may_sign_and_it_is_said():
    story = [*hot_tray(), out("5", "11:00", person="pat")]
    assert told([*story, signed(story[-1])], plans=PLANS, as_of="22:00").signed.by_maker
    assert not told([*QUIET, signed(QUIET[-1])], plans=PLANS, as_of="22:00").signed.by_maker


# ---- what was ordered is done -----------------------------------------------------------------------------------


def test_food_ordered_discarded_and_served_afterwards():
    low = [*hot_tray(), read("130", "11:00")]
    ordered = entry("corrective_action", at="11:10", findings=[key(low)], disposition="discard")
    served, thrown = out("5", "11:20"), out("5", "11:20", "discarded")
    finding = found(told([*low, ordered, served], plans=PLANS), "action.done")[0]
    assert (finding.subject.name, finding.onset_at, finding.entries) == (
        "A-T1",
        moment("11:20"),
        (served.id, ordered.id),
    )
    assert not found(told([*low, ordered, thrown], plans=PLANS), "action.done")


def test_a_spit_ordered_discarded_is_followed_into_the_trays_it_fed():
    pulled = [*loaded(), *probed("156", "170"), entry("spit_pulled", at="10:36")]
    ordered = entry("corrective_action", at="10:50", findings=[key(pulled)], disposition="discard")
    assert found(told([*pulled, ordered, out("5", "11:00")], plans=PLANS), "action.done")[0].subject.name == "A-T1"


# ---- keys -------------------------------------------------------------------------------------------------------


def test_a_key_is_taken_apart_and_a_label_may_hold_colons():
    assert parse_key("lot.known:lot:a:b:7") == KeyParts("lot.known", "lot", "a:b", "7")


@pytest.mark.parametrize(
    "key", [":tray:A-T1:7", "hold.temperature::A-T1:7", "hold.temperature:tray::7", "hold.temperature:tray:A-T1:", "7"]
)
def test_what_lacks_a_part_is_no_key(key):
    assert parse_key(key) is None
