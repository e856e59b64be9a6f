"""What rules answer with: which verdict is the worst, and whether something was sent back."""

from itertools import permutations

import pytest

from app.rules.facts import Answers, Timeline, Verdict, worst
from tests.support.cast import entry, moment

FROM_THE_BEST = (Verdict.MET, Verdict.PENDING, Verdict.NOT_SHOWN, Verdict.NOT_MET)


@pytest.mark.parametrize("pair", list(permutations(range(4), 2)))
def test_of_two_verdicts_the_worse_wins_in_whatever_order(pair):
    assert worst(FROM_THE_BEST[place] for place in pair) is FROM_THE_BEST[max(pair)]


def test_of_none_it_is_met_or_what_is_asked_for():
    assert (worst([]), worst([], otherwise=Verdict.PENDING)) == (Verdict.MET, Verdict.PENDING)


# ---- sent back -------------------------------------------------------------------------------------------------------


def action(seq):
    return entry("corrective_action", at="12:00", seq=seq)


def review(seq, outcome):
    return entry("action_verified", at="13:00", seq=seq, outcome=outcome)


def test_what_nobody_reviewed_was_not_sent_back():
    assert Answers(actions=(action(1),)).sent_back is None


@pytest.mark.parametrize("before", [(), ("sent_back",), ("accepted", "sent_back")])
def test_the_last_review_says_whether_it_was_sent_back(before):
    earlier = [review(number, outcome) for number, outcome in enumerate(before, start=2)]
    back, kept = review(9, "sent_back"), review(9, "accepted")
    assert Answers(actions=(action(1),), verifications=(*earlier, back)).sent_back is back
    assert Answers(actions=(action(1),), verifications=(*earlier, kept)).sent_back is None


def test_what_was_done_since_answers_it():
    back = review(2, "sent_back")
    assert Answers(actions=(action(1), action(3)), verifications=(back,)).sent_back is None


# ---- what held when --------------------------------------------------------------------------------------------------


def test_a_value_holds_from_its_moment_and_seq_on_and_the_first_for_all_time_before():
    held = Timeline(((moment("10:00"), 1), (moment("12:00"), 2), (moment("12:00"), 5)), ("a", "b", "c"))
    assert [held.at(moment(at)) for at in ("09:00", "11:59", "12:00", "13:00")] == ["a", "a", "c", "c"]
    assert [held.at(moment("12:00"), seq) for seq in (1, 2, 4, 5)] == ["a", "b", "b", "c"]
