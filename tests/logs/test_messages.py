"""Every sentence of the program, as translators see it."""

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def messages(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Every message, singular and plural forms apart, as the command in babel.cfg takes them out of the code."""
    target = tmp_path_factory.mktemp("messages") / "messages.pot"
    options = ["-q", "extract", "-F", "babel.cfg", "-k", "N_", "-k", "_l", "-k", "lazy_gettext", "-o"]
    command = [sys.executable, "-m", "babel.messages.frontend", *options, str(target), "."]
    subprocess.run(command, cwd=ROOT, check=True)
    with target.open("rb") as file:
        return list(_forms(read_po(file)))


def _forms(catalog: Catalog) -> Iterator[str]:
    for message in catalog:
        yield from [message.id] if isinstance(message.id, str) else message.id


def test_the_words_of_code_and_templates_are_found(messages: list[str]) -> None:
    assert {"not shown by the records", "Record fingerprint", "%(count)s birds"} <= set(messages)


def test_every_place_in_a_sentence_has_a_name(messages: list[str]) -> None:
    """So that a translator can put the parts in another order."""
    assert [message for message in messages if re.search(r"%(?!\()", message.replace("%%", ""))] == []


def test_no_sentence_calls_anything_safe(messages: list[str]) -> None:
    """The records show what was read and done; they do not make food safe."""
    assert [message for message in messages if re.search(r"safe", message, re.IGNORECASE)] == []


_ODD = (
    *(r"say what (it means|was done)", r"\bmend", r"\bas at\b", r"\bgo on\b", r"drop it", r"held against"),
    *(r"became of the food", r"may now only", r"write (it )?down", r"written down", r"was used before"),
    *(r"[«»]", r"\bno limit\b"),
)
"""English that cooks stumbled over: no word of the trade, no word of today, or said in a roundabout way."""


@pytest.mark.parametrize("odd", _ODD)
def test_no_sentence_is_in_english_of_our_own_making(messages: list[str], odd: str) -> None:
    assert [message for message in messages if re.search(odd, message, re.IGNORECASE)] == []
