"""Languages: the person's own, else what the browser asks for, else English."""

from flask import Flask, g, has_request_context, request
from flask_babel import Babel

LANGUAGES = ("en",)
"""Languages that the words are translated into."""


def init_app(app: Flask) -> None:
    """Let every string follow the reader's language."""
    Babel(app, locale_selector=select_language)


def select_language() -> str:
    """Give the language of this answer; pages set `g.language` for whoever is signed in."""
    if not has_request_context():
        return LANGUAGES[0]
    own = g.get("language")
    return own if own in LANGUAGES else request.accept_languages.best_match(LANGUAGES) or LANGUAGES[0]
