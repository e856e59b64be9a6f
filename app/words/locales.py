"""In which language words come out: the reader's, English where nobody asks."""

from babel import Locale
from flask_babel import get_locale


def current_locale() -> Locale:
    """Give the reader's locale."""
    return get_locale() or Locale("en")
