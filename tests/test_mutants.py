"""What lives of the planted changes is explained in docs/mutants.md, and the command holds its run to that page.

The changes themselves are planted by `make mutants` alone: it takes an hour.
"""

import re

import pytest

from tests.mutants.explained import MOST, PAGE, ROOT, Change, Outcome, explained, report

SAMPLE = 300
ONE = Change("rules/a.py", "judge", "if at < due:", "if at <= due:")
OTHER = Change("rules/b.py", "judge", "if at > due:", "if at >= due:")


def outcome(change: Change, noticed: bool | None, *, in_heart: bool = True) -> Outcome:
    return Outcome(change, 7, in_heart, noticed)


# ---- the page --------------------------------------------------------------------------------------------------------


@pytest.fixture
def page() -> str:
    return PAGE.read_text("utf-8")


def test_every_change_that_the_page_explains_is_of_a_line_that_is_there(page: str) -> None:
    lines = {change: (ROOT / "app" / change.file).read_text("utf-8").splitlines() for change in explained(page)}
    assert [change for change, found in lines.items() if change.before not in map(str.strip, found)] == []


def test_every_line_of_the_list_is_read_and_has_a_reason(page: str) -> None:
    listed = re.findall(r"^- `rules/|^- `ledger/", page, re.MULTILINE)
    assert len(explained(page)) == len(listed) > 0
    assert all(len(reason) > 20 for reason in explained(page).values())


@pytest.mark.parametrize("group", ["heart", "sample"])
def test_the_figures_of_the_page_are_those_of_its_list(page: str, group: str) -> None:
    figures = re.search(rf"^\| {group} \| (\d+) \| (\d+) \| (\d+) \|$", page, re.MULTILINE)
    assert figures
    planted, noticed, live = map(int, figures.groups())
    assert planted == noticed + live >= SAMPLE
    heart, sample = page.split("\nIn the sample:")
    assert 0 < len(explained({"heart": heart, "sample": sample}[group])) <= live


def test_no_more_of_the_sample_live_than_one_in_ten(page: str) -> None:
    figures = re.search(r"^\| sample \| (\d+) \| \d+ \| (\d+) \|$", page, re.MULTILINE)
    assert figures
    assert int(figures[2]) <= MOST * int(figures[1])


# ---- the command -----------------------------------------------------------------------------------------------------


def test_a_reason_may_begin_or_go_on_in_the_next_line() -> None:
    text = f"{ONE.line()}: nothing is\n  due then.\n{OTHER.line()}:\n  the same\n\nAnd so on."
    assert explained(text) == {ONE: "nothing is due then.", OTHER: "the same"}


def test_a_change_without_a_reason_is_not_explained() -> None:
    assert explained(f"{ONE.line()}\n{OTHER.line()}: \n") == {}


@pytest.mark.parametrize(
    ("outcomes", "reasons", "fails"),
    [
        ([outcome(ONE, True)], {}, 0),
        ([outcome(ONE, None)], {}, 0),
        ([outcome(ONE, False)], {}, 1),
        ([outcome(ONE, False)], {ONE: "equal"}, 0),
        ([outcome(ONE, False)], {OTHER: "equal"}, 1),
        ([outcome(ONE, True)], {ONE: "equal"}, 1),
        ([outcome(ONE, None)], {ONE: "equal"}, 0),
        ([outcome(ONE, False), outcome(ONE, True)], {ONE: "equal"}, 0),
    ],
    ids=[
        *("noticed", "not planted yet", "lives", "lives and explained", "another is explained"),
        *("explained and noticed", "explained and not planted yet", "of two alike one lives"),
    ],
)
def test_page_and_run_agree_or_the_command_fails(
    outcomes: list[Outcome], reasons: dict[Change, str], fails: int
) -> None:
    assert report(outcomes, reasons) == fails


@pytest.mark.parametrize(("living", "fails"), [(1, 0), (2, 1)])
def test_one_in_ten_of_the_sample_may_live_where_it_is_explained(living: int, fails: int) -> None:
    noticed = [outcome(OTHER, True, in_heart=False)] * (10 - living)
    assert report([*[outcome(ONE, False, in_heart=False)] * living, *noticed], {ONE: "equal"}) == fails


def test_the_command_says_what_lives_and_how_many(capsys: pytest.CaptureFixture[str]) -> None:
    report([outcome(ONE, False), outcome(OTHER, True, in_heart=False)], {})
    said = capsys.readouterr().out
    assert "1 changes in the heart of the rules: 0 noticed, 1 live, 0 not planted yet" in said
    assert f"! {ONE.line()} (line 7)" in said
