"""`person`, `retire`, `password`, `equipment` and `token`."""

import pytest

from app import register
from tests.support.terminal import Terminal


def test_people_are_added_and_retired(kitchen: Terminal) -> None:
    for login, role in (("kim", "cook"), ("sam", "in_charge"), ("ines", "inspector")):
        kitchen.run("person", "S1", login, login.title(), "--role", role, "--password-file", kitchen.password)
    kitchen.run("retire", "S1", "pat")
    with kitchen.app.extensions["database"].reading() as session:
        people = register.list_people(session, register.get_site(session, "S1"))
    told = [(person.login, person.role, person.retired_at is None) for person in people]
    here = [("ines", "inspector", True), ("kim", "cook", True), ("sam", "in_charge", True)]
    assert told == sorted([*here, ("pat", "in_charge", False)])


def test_a_cook_is_added_with_a_pin_only(kitchen: Terminal) -> None:
    kitchen.run("person", "S1", "kim", "Kim", "--role", "cook", "--pin-file", "-", typed="9170\n")
    with kitchen.app.extensions["database"].reading() as session:
        site = register.get_site(session, "S1")
        assert register.check_pin(session, site, "kim", "9170") is not None
        assert register.check_password(session, site, "kim", "9170") is None


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("person", "S1", "kim", "Kim", "--role", "cook", "--pin-file", "-"), "digits only"),
        (("person", "S1", "pat", "Pat", "--role", "cook", "--password-file", "-"), "taken"),
        (("person", "S1", "two words", "X", "--role", "cook", "--password-file", "-"), "letters, digits"),
        (("retire", "S1", "nobody"), "nobody"),
        (("retire", "S1", "pat"), "only person in charge"),
        (("role", "S1", "pat", "cook"), "only person in charge"),
        (("password", "S1", "nobody", "--password-file", "-"), "nobody"),
        (("equipment", "S1", "oven", "a b"), "letters, digits"),
        (("equipment", "S1", "oven", "east", "--scale", "F"), "does not belong here"),
        (("equipment", "S1", "oven", "north", "--retire"), "north"),
        (("token", "S1", "nobody"), "nobody"),
        (("token", "S1"), "Say one of"),
        (("token", "S1", "pat", "--list"), "Say one of"),
        (("token", "S1", "--list", "--days", "3"), "--days"),
        (("token", "S1", "pat", "--days", "0"), "366"),
        (("token", "S1", "--tablet", "a b"), "letters, digits"),
        (("token", "S1", "--revoke", "404"), "404"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(kitchen: Terminal, line: tuple[str, ...], words: str) -> None:
    assert words in kitchen.fail(*line, typed="every bird twice\n")


@pytest.mark.parametrize(
    "line",
    [
        ("person", "S1", "x", "X", "--role", "owner"),
        ("equipment", "S1", "grill", "g"),
        ("equipment", "S1", "probe", "red", "--scale", "K"),
        ("token", "S1", "--revoke", "x"),
    ],
)
def test_a_choice_that_is_not_one_is_said_in_one_line(kitchen: Terminal, line: tuple[str, ...]) -> None:
    kitchen.fail(*line, exit_code=2)


def test_a_new_password_replaces_the_old_one(kitchen: Terminal) -> None:
    kitchen.run("password", "S1", "pat", "--password-file", "-", typed="quarter and half birds\n")
    with kitchen.app.extensions["database"].reading() as session:
        site = register.get_site(session, "S1")
        assert register.check_password(session, site, "pat", "every bird twice, breast and thigh") is None
        assert register.check_password(session, site, "pat", "quarter and half birds") is not None


def test_equipment_is_listed_and_retired(kitchen: Terminal) -> None:
    kitchen.run("equipment", "S1", "probe", "blue")
    kitchen.run("equipment", "S1", "oven", "east")
    kitchen.run("equipment", "S1", "oven", "east", "--retire")
    assert "retired" in kitchen.fail("equipment", "S1", "oven", "east", "--retire")
    assert "taken" in kitchen.fail("equipment", "S1", "cold_unit", "blue")


def test_a_token_is_printed_alone_and_works(kitchen: Terminal) -> None:
    for line in (("token", "S1", "pat"), ("token", "S1", "--tablet", "A")):
        result = kitchen.run(*line)
        assert (result.stdout.count("\n"), result.stderr) == (1, "")
        headers = {"Authorization": f"Bearer {result.stdout.strip()}"}
        reply = kitchen.app.test_client().post("/api/v1/sites/S1/entries", json=[{}], headers=headers)
        assert reply.status_code == 200


def test_tokens_are_listed_without_their_text_and_revoked(kitchen: Terminal) -> None:
    text = kitchen.run("token", "S1", "pat", "--days", "30").stdout.strip()
    kitchen.run("token", "S1", "--tablet", "A")
    listed = kitchen.run("token", "S1", "--list").stdout
    assert listed == "1\tpat\t2026-04-14\t2026-05-14\tvalid\n2\ttablet:A\t2026-04-14\t-\tvalid\n"
    assert text not in listed
    kitchen.run("token", "S1", "--revoke", "1")
    assert kitchen.run("token", "S1", "--list").stdout.splitlines()[0].endswith("revoked")
    headers = {"Authorization": f"Bearer {text}"}
    assert kitchen.app.test_client().get("/api/v1/sites/S1/ledger", headers=headers).status_code == 401
