"""Who wrote an entry and its number, in the few letters of the printed log: short, and never two alike."""

from dataclasses import replace

import pytest

from app.logs.writers import Numbers, Writers
from tests.support.cast import entry

NAMES = {"cook": "Casey Cook", "cole": "Cora Cole", "ines": "Inés Ito"}


def test_initials_come_from_the_name_and_two_people_never_share_them() -> None:
    written = [entry("note", at="10:00", person=login) for login in NAMES]
    writers = Writers(written, NAMES)
    assert [writers.short(one) for one in written] == ["CC·A", "CC2·A", "II·A"]
    assert writers.legend() == "CC Casey Cook, CC2 Cora Cole, II Inés Ito"


@pytest.mark.parametrize(("via", "said"), [("tablet:B", "CC·B"), ("token:3", "CC·t3"), ("session", "CC")])
def test_the_device_stands_after_a_dot(via: str, said: str) -> None:
    written = replace(entry("note", at="10:00"), via=via)
    assert Writers([written], NAMES).short(written) == said


@pytest.mark.parametrize(("identified", "said"), [("pin", "CC·A"), ("recent", "CC·A*")])
def test_a_name_that_was_tapped_without_its_pin_has_a_star(identified: str, said: str) -> None:
    written = entry("note", at="12:00", person="cook", via="tablet:A", identified=identified)
    assert Writers([written], NAMES).short(written) == said


def test_what_nobody_wrote_says_through_what_it_came() -> None:
    written = replace(entry("note", at="10:00", person=""), via="command")
    assert Writers([written], NAMES).short(written) == "by a command"


@pytest.mark.parametrize(
    ("seqs", "begin_with", "shown"),
    [
        ([14, 9_999], "", ["14", "9999"]),
        ([150_014, 150_200, 149_990], "150", ["014", "200", "149990"]),
        ([14, 150_014], "", ["14", "150014"]),
    ],
    ids=["short ones stand in full", "the last three digits", "a short one among them: all in full"],
)
def test_long_numbers_are_shortened_where_that_is_clear(seqs: list[int], begin_with: str, shown: list[str]) -> None:
    numbers = Numbers([entry("note", at="10:00", seq=seq) for seq in seqs])
    assert numbers.begin_with == begin_with
    assert [numbers.short(seq) for seq in seqs] == shown
