"""`init`: database, site, first person in charge and plan, or one clear line."""

import re

import pytest

from app import register
from tests.support import cast
from tests.support.terminal import Terminal


def test_init_sets_up_a_kitchen(terminal: Terminal) -> None:
    terminal.init("S1", "--altitude-m", "180.5", "--plan", "us_food_code_2022")
    with terminal.app.extensions["database"].reading() as session:
        site = register.get_site(session, "S1")
        plan = register.newest_plan(session, site)
        pat = register.check_password(session, site, "pat", "every bird twice, breast and thigh")
    assert (site.name, site.timezone, site.altitude_cm) == ("Kitchen One", "America/Chicago", 18050)
    assert pat is not None
    assert plan is not None
    assert (pat.role, plan.version, plan.code, plan.adopted_by) == ("in_charge", 1, "us_food_code_2022", "pat")


def test_init_asks_for_what_is_left_out(terminal: Terminal) -> None:
    typed = "Kitchen One\nAmerica/Chicago\npat\nPat Porter\nevery bird twice\n"
    result = terminal.run("init", "S1", typed=typed)
    assert "Time zone, e.g. America/Chicago: " in result.stderr
    assert "every bird twice" not in result.output


def test_init_reads_the_password_from_standard_input(terminal: Terminal) -> None:
    line = [part if part != terminal.password else "-" for part in terminal.init_line()]
    terminal.run(*line, typed="every bird twice\r\n")


def test_a_second_kitchen_may_share_the_database(kitchen: Terminal) -> None:
    kitchen.init("S2")
    assert kitchen.fail(*kitchen.init_line("S1")).endswith("this is taken already. Choose another.")


def test_init_without_a_site_prints_a_link_that_opens_the_set_up_once(terminal: Terminal) -> None:
    printed = terminal.run("init", "--address", "https://kitchen.lan/").stdout
    assert "once, until 2026-04-15 17:00 UTC" in printed
    text = re.findall(r"https://kitchen.lan/begin/(\S+)", printed)[0]
    with terminal.app.extensions["database"].reading() as session:
        state = register.set_up_link_state(session, text, at=cast.moment("12:00"))
    assert state is register.LinkState.OPENS


def test_init_prints_no_link_where_a_kitchen_is_set_up_and_that_was_asked(kitchen: Terminal) -> None:
    assert kitchen.run("init", "--if-empty").stdout == ""
    assert "/begin/" in kitchen.run("init").stdout


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("init", "--name", "Kitchen"), "name it first"),
        (("init", "--password-file", "-"), "name it first"),
        (("init", "S1", "--if-empty"), "without SITE"),
        (("init", "S1", "--address", "http://x"), "without SITE"),
    ],
)
def test_init_says_which_options_go_together(terminal: Terminal, line: tuple[str, ...], words: str) -> None:
    assert words in terminal.fail(*line)


def test_init_says_where_else_the_login_exists(kitchen: Terminal) -> None:
    said = kitchen.run(*kitchen.init_line("S2")).stderr
    assert "pat exists at S1 too: that is another account" in said
    assert "Signing in asks for the kitchen." in said
    line = ["kim" if part == "pat" else part for part in kitchen.init_line("S3")]
    assert kitchen.run(*line).stderr == ""


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("--name", " ", "needed"),
        ("--timezone", "Mars/Olympus", "Mars/Olympus"),
        ("--login", "two words", "letters, digits"),
        ("--person", "\u202ePat", "one line of plain text"),
        ("--altitude-m", "high", "number"),
        ("--altitude-m", "NaN", "9000"),
        ("--altitude-m", "9001", "9000"),
        ("--plan", "no_such_code", "code"),
        ("--password-file", "no/such/file", "no/such/file cannot be read"),
    ],
)
def test_init_refuses_in_one_line(terminal: Terminal, option: str, value: str, words: str) -> None:
    line = list(terminal.init_line("S1", "--altitude-m", "0", "--plan", "us_food_code_2022"))
    line[line.index(option) + 1] = value
    assert words in terminal.fail(*line)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "There is no password"),
        ("short", "at least 8"),
        ("password123", "first that people try"),
        ("a\nb", "one line"),
    ],
)
def test_init_refuses_a_bad_password_file(terminal: Terminal, text: str, words: str) -> None:
    line = list(terminal.init_line())
    line[-1] = terminal.file("other", text)
    assert words in terminal.fail(*line)


def test_a_password_file_that_is_not_text_is_refused(terminal: Terminal) -> None:
    path = terminal.folder / "bytes"
    path.write_bytes(b"\xff\xfe\x00")
    assert "not UTF-8" in terminal.fail(*terminal.init_line()[:-1], str(path))


def test_nothing_typed_is_told(terminal: Terminal) -> None:
    assert terminal.fail("init", "S1", typed="") == "Stopped: nothing more was typed."


@pytest.mark.parametrize(
    ("line", "words"),
    [(("init", "S1", "--colour", "red"), "--colour"), (("person", "S1", "x", "X"), "--role")],
)
def test_a_command_that_is_not_understood_says_so_in_one_line(
    terminal: Terminal, line: tuple[str, ...], words: str
) -> None:
    assert words in terminal.fail(*line, exit_code=2)


@pytest.mark.parametrize(
    "line",
    [
        ("person", "S1", "kim", "Kim", "--role", "cook", "--password-file", "-"),
        ("retire", "S1", "pat"),
        ("equipment", "S1", "oven", "east"),
        ("plan", "S1"),
        ("sign", "S1", "2026-04-14", "--login", "pat", "--password-file", "-"),
        ("token", "S1", "pat"),
        ("verify",),
        ("log", "S1", "2026-04-14", "--output", "never-written.pdf"),
    ],
)
def test_every_command_says_when_nothing_is_set_up(terminal: Terminal, line: tuple[str, ...]) -> None:
    said = terminal.fail(*line, typed="every bird twice\n")
    assert said.startswith(("The records of this server are not set up yet.", "The file of the records is not there,"))
    assert "un the command init, or demo, first." in said


@pytest.mark.parametrize(
    "line",
    [
        ("person", "S9", "kim", "Kim", "--role", "cook", "--password-file", "-"),
        ("retire", "S9", "pat"),
        ("equipment", "S9", "oven", "east"),
        ("plan", "S9"),
        ("plan", "S9", "--set", "grace_min=5", "--login", "pat", "--password-file", "-"),
        ("sign", "S9", "2026-04-14", "--login", "pat", "--password-file", "-"),
        ("token", "S9", "pat"),
        ("token", "S9", "--list"),
        ("verify", "S9"),
        ("log", "S9", "2026-04-14", "--output", "never-written.pdf"),
    ],
)
def test_every_command_says_when_a_site_is_unknown(kitchen: Terminal, line: tuple[str, ...]) -> None:
    assert "S9" in kitchen.fail(*line, typed="every bird twice\n")
