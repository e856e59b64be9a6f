"""What changed about somebody's access, said to them."""

from collections.abc import Callable

from . import names
from .marking import gettext as _


def access_change_words(what: str, *, is_end: bool, by: str, at: str, role: str, number: int | None) -> str:
    """Say what somebody did: `Your PIN was set by Pat Porter on Tue 14 April 2026, 12:01.`

    `by` is a name, empty for the server's command line; `at` a date and time in words.
    """
    who = by or _("somebody at the server's command line")
    return _SAID[what, is_end]({"by": who, "at": at, "role": names.role_word(role), "number": number})


_Values = dict[str, object]
_SAID: dict[tuple[str, bool], Callable[[_Values], str]] = {
    ("added", False): lambda values: _("You were added as %(role)s by %(by)s, %(at)s.", **values),
    ("role", False): lambda values: _("Your role was set to %(role)s by %(by)s, %(at)s.", **values),
    ("password", False): lambda values: _("Your password was set by %(by)s, %(at)s.", **values),
    ("pin", False): lambda values: _("Your PIN was set by %(by)s, %(at)s.", **values),
    ("pin", True): lambda values: _("Your PIN was removed by %(by)s, %(at)s.", **values),
    ("token", False): lambda values: _("Token %(number)s in your name was issued by %(by)s, %(at)s.", **values),
    ("token", True): lambda values: _("Token %(number)s in your name was ended by %(by)s, %(at)s.", **values),
}
