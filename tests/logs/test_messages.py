"""Every sentence of the program, as translators see it."""

import html
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import click
import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from app import create_app

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
    assert {"not recorded", "Record fingerprint", "%(count)s birds"} <= set(messages)


def test_every_place_in_a_sentence_has_a_name(messages: list[str]) -> None:
    """So that a translator can put the parts in another order."""
    assert [message for message in messages if re.search(r"%(?!\()", message.replace("%%", ""))] == []


def test_no_sentence_calls_anything_safe(messages: list[str]) -> None:
    """The records show what was read and done; they do not make food safe."""
    assert [message for message in messages if re.search(r"safe", message, re.IGNORECASE)] == []


_ODD = (
    *(r"say what (it means|was done)", r"\bmend", r"\bas at\b", r"\bgo on\b", r"drop it", r"held against"),
    *(r"became of the food", r"may now only", r"write (\w+ )?down", r"written down", r"was used before"),
    *(r"[«»]", r"\bno limit\b", r"not shown by the records", r"so is all that", r"went another way"),
    *(r"throw(n)? it away", r"\bread (it|the food|a tray|batch|reheat|unit)\b", r"not read (yet|today)"),
    *(r"becomes? of (it|the food)", r"\bwants a\b", r"frees nothing", r"\bput right\b", r"\b(carry|carries|goes) on\b"),
    *(r"\breckon", r"stands no more", r"taken away", r"work (that was )?watched", r"\bholds? (from|until)\b"),
    *(r"(wrote|things) down\b", r"do not take it", r"hard through", r"password do not belong", r"keeps the server"),
)
"""English that cooks stumbled over: no word of the trade, no word of today, or said in a roundabout way; and a second
wording for one job: food is thrown away, never "it", and what is hot or cold is checked, not read."""


@pytest.mark.parametrize("odd", _ODD)
def test_no_sentence_is_in_english_of_our_own_making(messages: list[str], odd: str) -> None:
    assert [message for message in messages if re.search(odd, message, re.IGNORECASE)] == []


_SPELT_TWO_WAYS = (
    *("analyze analyse", "authorize authorise", "minimize minimise", "organize organise", "pasteurize pasteurise"),
    *(
        "prioritize prioritise",
        "recognize recognise",
        "sanitize sanitise",
        "sterilize sterilise",
        "summarize summarise",
    ),
    *("behavior behaviour", "color colour", "favor favour", "flavor flavour", "labor labour", "neighbor neighbour"),
    *("odor odour", "vapor vapour", "center centre", "fiber fibre", "liter litre", "meter metre", "caliber calibre"),
    *("canceled cancelled", "canceling cancelling", "labeled labelled", "labeling labelling", "leveled levelled"),
    *("modeling modelling", "traveled travelled", "enroll enrol", "fulfill fulfil", "skillful skilful"),
    *("acknowledgment acknowledgement", "judgment judgement", "aging ageing", "catalog catalogue", "dialog dialogue"),
    *("defense defence", "license licence", "practise", "programme", "gray grey", "mold mould", "plow plough"),
    *("aluminum aluminium", "sulfur sulphur", "yogurt yoghurt", "cheque", "draught", "tonne", "gramme"),
    *("percent", r"per\scent", "tyre", "storey", "whilst", "learnt", "savory savoury", "caramelize caramelise"),
)
"""Words that the United States and the United Kingdom spell differently, as far as a kitchen might use them; from
memory, no source. None is used: each kitchen reads its own spelling without choosing one. "Enrolled" is spelt alike."""


_ALONE = {"enroll", "enrol", "fulfill", "fulfil", "license", "licence", "percent"}
"""Spelt alike once something is put on the end: enrolled, fulfilled, licensed, percentage."""


def _spelt_two_ways(texts: Iterable[str], words: str) -> list[str]:
    spelt = "|".join(rf"{word}s?\b" if word in _ALONE else word for word in words.split())
    return [text for text in texts if re.search(rf"\b({spelt})", text, re.IGNORECASE)]


@pytest.mark.parametrize("words", _SPELT_TWO_WAYS)
def test_every_word_is_spelt_alike_in_the_united_states_and_the_united_kingdom(messages: list[str], words: str) -> None:
    assert _spelt_two_ways(messages, words) == []


_CODES = (ROOT / "app" / "codes").glob("*.toml")
_SCRIPTS = (ROOT / "app" / "static").glob("*.js")
_NOT_MARKED = {
    **{path.name: "".join(re.findall(r'"[^"\n]*"', path.read_text("utf-8"))) for path in _CODES},
    **{path.name: "".join(re.findall(r'"[^"\n]*"|`[^`]*`', path.read_text("utf-8"))) for path in _SCRIPTS},
}
"""What is said without passing through a catalogue: sources in codes of law, and texts in scripts."""


@pytest.mark.parametrize("name", sorted(_NOT_MARKED))
def test_no_code_of_law_and_no_script_says_it_so_either(name: str) -> None:
    assert [odd for odd in _ODD if re.search(odd, _NOT_MARKED[name], re.IGNORECASE)] == []


@pytest.fixture(scope="module")
def helps() -> Mapping[str, str]:
    """What each command of our own says with --help."""
    commands = create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "for the test"}).cli.commands
    own = {name: each for name, each in commands.items() if each.callback and each.callback.__module__ in _CLI}
    return {name: each.get_help(click.Context(each, info_name=name)) for name, each in own.items()}


_CLI = {f"app.cli.{path.stem}" for path in (ROOT / "app" / "cli").glob("*.py")}


@pytest.mark.parametrize("words", _SPELT_TWO_WAYS)
def test_the_terminal_and_the_sources_of_limits_spell_every_word_alike_too(
    helps: Mapping[str, str], words: str
) -> None:
    assert {"init", "token", "verify"} <= set(helps)
    sources = [text for name, text in _NOT_MARKED.items() if name.endswith(".toml")]
    assert _spelt_two_ways([*helps.values(), *sources], words) == []


_TEMPLATES = sorted(path.relative_to(ROOT / "templates").as_posix() for path in (ROOT / "templates").rglob("*.html"))
_NO_WORDS = (r"\{#.*?#\}", r"\{%.*?%\}", r"\{\{.*?\}\}", r"<(style|svg|code|pre)\b.*?</\1>", r"<[^>]*>")
_OF_NO_READER = {"patterns.html", "log/_continued.html"}
"""The page of all parts, read by whoever builds them; and attributes that the stylesheet reads."""
_SIGNS = {"°F", "°C", "PIN", "QR", "PDF"}


@pytest.mark.parametrize("name", [name for name in _TEMPLATES if name not in _OF_NO_READER])
def test_every_word_of_a_template_passes_through_the_catalogue(name: str) -> None:
    left = (ROOT / "templates" / name).read_text("utf-8")
    for part in _NO_WORDS:
        left = re.sub(part, " ", left, flags=re.DOTALL)
    assert [word for word in re.findall(r"(?<![-\w])[^\W\d_]{2,}", html.unescape(left)) if word not in _SIGNS] == []
