"""`plan`: the plan in force, line by line, and adopting a new version."""

from collections.abc import Sequence

import pytest

from app.rules.plans.settings import SETTINGS
from tests.support.terminal import Terminal


def _adopt(terminal: Terminal, *more: str) -> Sequence[str]:
    return ("plan", "S1", "--login", "pat", "--password-file", terminal.password, *more)


def _printed(terminal: Terminal) -> dict[str, list[str]]:
    lines = terminal.run("plan", "S1").stdout.splitlines()
    return {name: rest for name, *rest in (line.split("\t") for line in lines)}


def test_the_plan_in_force_is_printed_line_by_line(kitchen: Terminal) -> None:
    printed = _printed(kitchen)
    assert set(printed) == {"code", "version", "authority", "variance", *SETTINGS}
    assert printed["code"][0] == "us_food_code_2022"
    assert printed["cook_core"] == ["165F/74C", "FDA Food Code 2022, 3-401.11(A)(3)", "model_code", ""]
    assert printed["day_starts"][0] == "04:00"
    assert printed["places_per_bird"][0] == "breast"


def test_printing_with_a_login_changes_nothing(kitchen: Terminal) -> None:
    kitchen.run(*_adopt(kitchen))
    assert _printed(kitchen)["version"][0] == "1"


def test_every_printed_value_can_be_set_again(kitchen: Terminal) -> None:
    printed = _printed(kitchen)
    settings = [part for name in SETTINGS for part in ("--set", f"{name}={printed[name][0]}")]
    kitchen.run(*_adopt(kitchen, *settings))
    after = _printed(kitchen)
    assert {name: after[name] for name in SETTINGS} == {name: printed[name] for name in SETTINGS}


def test_a_new_version_is_adopted_and_settings_add_up(kitchen: Terminal) -> None:
    kitchen.run(*_adopt(kitchen, "--set", "hot_holding=140F/60C", "--set", "places_per_bird=breast,thigh"))
    kitchen.run(*_adopt(kitchen, "--set", "time_control_procedure=Procedure 4 = counter", "--authority", "County 12-3"))
    printed = _printed(kitchen)
    assert printed["version"][:2] == ["3", "adopted by pat"]
    assert printed["hot_holding"] == ["140F/60C", "house: set by the site", "house", "set"]
    assert (printed["time_control_procedure"][0], printed["authority"]) == ("Procedure 4 = counter", ["County 12-3"])


def test_looser_than_the_code_needs_a_variance(kitchen: Terminal) -> None:
    looser = _adopt(kitchen, "--set", "cook_core=160F/71C")
    assert kitchen.fail(*looser).startswith("cook_core: ")
    kitchen.run(*looser, "--variance", "Variance 2026-17")
    assert _printed(kitchen)["variance"] == ["Variance 2026-17"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--set", "nonsense"), "NAME=VALUE"),
        (("--set", "=5"), "NAME=VALUE"),
        (("--set", "no_such=5"), "no_such: "),
        (("--set", "grace_min=soon"), "grace_min: "),
        (("--set", "hot_holding=140F"), "165F/74C"),
        (("--code", "no_such_code"), "no_such_code"),
    ],
)
def test_a_bad_change_is_refused_by_its_name(kitchen: Terminal, more: tuple[str, ...], words: str) -> None:
    assert words in kitchen.fail(*_adopt(kitchen, *more))
    assert _printed(kitchen)["version"][0] == "1"


def test_only_somebody_in_charge_with_the_right_password_adopts(kitchen: Terminal) -> None:
    change = ("--password-file", "-", "--set", "grace_min=5")
    assert "the password is wrong" in kitchen.fail("plan", "S1", "--login", "pat", *change, typed="wrong password\n")
    kitchen.run("person", "S1", "kim", "Kim", "--role", "cook", "--password-file", "-", typed="every bird twice\n")
    said = kitchen.fail("plan", "S1", "--login", "kim", *change, typed="every bird twice\n")
    assert said == "This is for the person in charge."
    assert _printed(kitchen)["version"][0] == "1"
