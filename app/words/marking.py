"""Gettext with types, and tables of words that are marked where they stand and translated when they are said."""

from collections.abc import Mapping

import flask_babel


def gettext(message: str, **values: object) -> str:
    """Give a message in the reader's language (English without a request), its named places filled in."""
    return str(flask_babel.gettext(message, **values))


def ngettext(one: str, many: str, number: int, **values: object) -> str:
    """Give the form of a message that goes with a number."""
    return str(flask_babel.ngettext(one, many, number, **values))


def N_(message: str) -> str:
    """Mark a message for the translator; it is translated only when it is said."""
    return message


def say(table: Mapping[str, str], code: str) -> str:
    """Give the words for a code in the reader's language; a code without words is shown as it is."""
    message = table.get(code)
    return code if message is None else gettext(message)
