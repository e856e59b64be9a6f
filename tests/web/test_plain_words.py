"""The kitchen's screens in words that a cook reads whose first language is another: no sentence is long."""

import html
import re
from collections.abc import Iterator, Mapping

import pytest
from flask import Flask

from app.db import Database
from app.kinds.permissions import Permission
from docs.list_access import permission_of
from tests.support.browsing import Browser
from tests.support.routes import path_of, things, walk

_MOST_WORDS = 12
"""Of a sentence on a screen of the kitchen: common practice, no source."""

_KITCHEN = {Permission.RECORD_KITCHEN_ENTRY, Permission.MEND_ENTRY, Permission.ANSWER_FINDING}
_NOT_READ_AS_SENTENCES = (
    r"<(script|style|svg|textarea|option|table)\b.*?</\1>",  # a table of entries quotes what was written
    r'<template\b[^>]*data-ask="C".*?</template>',  # the same questions as in °F
)
_WITHIN_A_SENTENCE = r"</?(b|span|i|em|strong|code|s|time)\b[^>]*>"
_EXCEPTIONS = (
    "reductions of Salmonella (",  # names its source, as printed, for whoever asks for the science
)


@pytest.fixture
def screens(app: Flask, database: Database, browser: Browser) -> Mapping[str, str]:
    """Every screen of the kitchen by its path, as the person in charge sees it."""
    ids = things(database)
    browser.sign_in("pat")
    paths = [
        path_of(app, rule, ids)
        for (method, route), rule in walk(app)
        if method == "GET" and (route == "/" or permission_of(app, rule) in _KITCHEN)
    ]
    return {path: browser.get(path).html for path in paths}


def sentences(page: str) -> Iterator[str]:
    """Give the sentences of the main part of a page; what a number and its unit are joined by is no end of a word."""
    main = page.partition("<main")[2].partition(">")[2].partition("</main>")[0]
    for unread in _NOT_READ_AS_SENTENCES:
        main = re.sub(unread, " ", main, flags=re.DOTALL)
    for block in re.split(r"<[^>]*>", re.sub(_WITHIN_A_SENTENCE, "", main)):
        text = re.sub(r"[ \n]+", " ", html.unescape(block)).strip()
        yield from re.split(r"(?<=[.!?:;·])\s+", text)


def count_words(sentence: str) -> int:
    """Give how many words a sentence has; `165 °F` is one."""
    return sum(bool(re.search(r"\w", word)) for word in sentence.split(" "))


def test_no_sentence_of_the_kitchen_is_long(screens: Mapping[str, str]) -> None:
    found = {
        (path, sentence)
        for path, page in screens.items()
        for sentence in sentences(page)
        if count_words(sentence) > _MOST_WORDS and not any(exception in sentence for exception in _EXCEPTIONS)
    }
    assert found == set()


@pytest.mark.parametrize(
    ("page", "counts"),
    [
        ("<main><p>Pull it. Keep <b>this spit</b> cooking.</p></main>", [2, 4]),
        ("<main><p>Limit 165\N{NO-BREAK SPACE}°F</p><li>one</li><li>two three</li></main>", [2, 1, 2]),
        ("<main><table><tr><td>what somebody wrote</td></tr></table></main>", []),
    ],
)
def test_sentences_are_counted_as_they_are_read(page: str, counts: list[int]) -> None:
    assert [count_words(one) for one in sentences(page) if one] == counts
