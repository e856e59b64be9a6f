"""What holds birds out of cold storage by the records: asked about before a list says that all food is put away."""

from collections.abc import Sequence
from typing import Any

from flask import url_for

from app import words
from app.kinds import Subject
from app.rules.day.shown import Assessment

from .still_here import held_now


def not_put_away(assessment: Assessment) -> Sequence[Subject]:
    """Give the loads on whose spits birds are, then the trays and reheats that hold some, in order of opening."""
    warm = (held for held, _birds in held_now(assessment) if held.kind != "batch")
    return tuple(dict.fromkeys(Subject("load", held.name) if held.kind == "spit" else held for held in warm))


def where_words(held: Sequence[Subject]) -> str:
    """Name them as a list is read out."""
    return words.joined([words.subject_words(one) for one in held])


_PAGES = {"load": "cooking.load_page", "tray": "holding.tray_page", "reheat": "reheating.reheat_page"}


def page_of(held: Subject) -> str:
    """Give the page on which it is recorded where its birds went."""
    place: dict[str, Any] = {held.kind: held.name}
    return url_for(_PAGES[held.kind], **place)
