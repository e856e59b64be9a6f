"""What the first page says of how promptly a day was written, and of what a reviewer would look at twice."""

from dataclasses import replace
from datetime import timedelta

from app.kinds import Entry
from app.logs.view import LogView, log_view
from tests.support import cast
from tests.support.cast import entry
from tests.support.printed_day import HEAD
from tests.support.story import hot_tray, loaded, told


def view(*entries: Entry, as_of: str = "20:00") -> LogView:
    return log_view(told(entries, as_of=as_of))


def test_late_and_corrected_entries_are_counted_with_who_wrote_them() -> None:
    late = entry("hold_reading", at="11:00", late=True)
    newer = entry("hold_reading", at="11:00", of=late, person="pat", temperature="152")
    shown = dict(view(*hot_tray(), late, newer).promptness)
    assert shown["Written late"] == "1 entry: Casey Cook, tablet A"
    assert shown["Critical readings written late"] == "1 of 3"
    assert shown["Corrected or withdrawn"] == "1 entry: Pat Porter, tablet A"


def test_a_prompt_day_says_none() -> None:
    shown = dict(view(*hot_tray()).promptness)
    assert (shown["Written late"], shown["Corrected or withdrawn"]) == ("none", "none")


def test_patterns_are_pointed_out_with_their_entries() -> None:
    pair = [entry("cook_reading", at=at, seq=seq, temperature=value) for seq, at, value in _JUMP]
    assert view(*loaded(), *pair).second_looks == (
        "One bird was read twice within 2 minutes, far apart. Entries no. 31, 32.",
    )


_JUMP = [(31, "10:30", "150"), (32, "10:31", "164")]


def test_a_day_without_patterns_points_at_nothing() -> None:
    assert view(*hot_tray()).second_looks == ()


def _signed(at: str, covers: int) -> Entry:
    server = {"signer_name": "Sam Silva", "covers_seq": covers, "covers_hash": HEAD[1], "as_of": cast.moment(at)}
    return entry("sign_off", at=at, person="sam", **server)


def test_every_signature_of_the_day_is_listed_and_the_stale_ones_say_so() -> None:
    tray, seen_between = hot_tray(), entry("hold_reading", at="18:30", temperature="150")
    first, second = view(*tray, _signed("18:00", 40), seen_between, _signed("19:00", seen_between.seq)).signatures
    assert (first.at, first.covers) == ("Tue 14 April 2026, 18:00 CDT", f"entry no. 40, {HEAD[1]}")
    assert first.stale == "Entries that touch this day came later, and it was signed again."
    assert (second.at, second.stale) == ("Tue 14 April 2026, 19:00 CDT", "")


def test_a_day_that_nobody_signed_has_no_signature() -> None:
    assert view(*hot_tray()).signatures == ()


def test_an_answer_says_when_it_was_written_where_that_was_later() -> None:
    low = entry("hold_reading", at="11:00", temperature="130")
    key = next(one.key for one in told([*hot_tray(), low]).findings if one.rule == "hold.temperature")
    action = entry("corrective_action", at="11:10", person="pat", findings=(key,))
    later = replace(action, recorded_at=action.observed_at + timedelta(hours=2))
    found = ([f for f in view(*hot_tray(), low, one).findings if f.answers] for one in (action, later))
    prompt, late = (" ".join(findings[0].answers) for findings in found)
    assert "Pat Porter, tablet A, 11:10)" in prompt
    assert "Pat Porter, tablet A, 11:10, written 13:10)" in late
