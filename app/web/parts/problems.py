"""Pages for what could not be done: what happened and what to do next, never a trace of the program."""

from flask import g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import lazy_gettext as _l
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import ClientDisconnected, HTTPException, RequestEntityTooLarge

from app import words
from app.server.errors import ClockIsBehind, RecordsAway

from ..signin import kept_posts

_WORDS = {
    400: (_l("This could not be read"), _l("Nothing was saved. Go back, look the form over and send it again.")),
    401: (_l("Nobody is signed in"), _l("Sign in, then continue.")),
    403: (_l("This page is not yours to use"), _l("It is for another role. Ask the person in charge.")),
    404: (_l("There is no such page"), _l("Nothing here has that name. Go back, or start from the first page.")),
    405: (_l("This cannot be done here"), _l("Go back, or start from the first page.")),
    413: (_l("That is too much at once"), _l("Nothing was saved. Send less at a time.")),
    429: (_l("Too many tries"), _l("Wait a little, then try again.")),
    500: (
        _l("Something went wrong here"),
        _l("Nothing was saved. Go back and try again. If it stays so, tell the person in charge and write on paper."),
    ),
    503: (
        _l("The records cannot be reached"),
        _l("Nothing was saved. Try again in a minute, and write on paper until then."),
    ),
}
_OTHER_SESSION = _l(
    "The page was opened in another sign-in. Nothing was saved. Go back, load the page again, then send it."
)
_CLOCK = _l("The clock of this server is behind")


def answer_error(error: HTTPException) -> ResponseReturnValue:
    """Answer a refusal with a page; what is no refusal (a redirect) goes out as it is."""
    status = error.code or 500
    if status < 400:
        return error
    title, text = _WORDS.get(status, _WORDS[400 if status < 500 else 500])
    if isinstance(error, CSRFError):
        text = _OTHER_SESSION
    if isinstance(error, ClockIsBehind):
        title, text = _CLOCK, words.clock_behind_words(error.behind)
    if isinstance(error, RecordsAway):
        text = words.outage_page_words(error.outage)
    if status >= 500:
        g.identity = None  # the page asks the database nothing: that may be what is wrong
    kept = kept_posts.sent() if _may_be_sent_again(error) else []
    headers = [(name, value) for name, value in error.get_headers() if name in ("Allow", "Retry-After")]
    again = {
        "kept": kept,
        "typed": kept_posts.typed(kept),
        "needs_secret": bool(kept) and kept_posts.needs_secret(),
        "action": kept_posts.sent_to(),
        "opened_by": _opened_by(error),
    }
    return render_template("problem.html", heading=title, text=text, **again), status, headers


def _may_be_sent_again(error: HTTPException) -> bool:
    """Whether what was typed can be kept later as it is: the records are away now. Who signs in types anew."""
    is_away = isinstance(error, (ClockIsBehind, RecordsAway))
    return is_away and request.method == "POST" and request.blueprint != "signin" and not request.files


def _opened_by(error: HTTPException) -> str | None:
    """Give who was at the tablet when the form was opened, as it says itself; None of a form that could not be read."""
    if request.method != "POST" or isinstance(error, (RequestEntityTooLarge, ClientDisconnected)):
        return None
    return request.form.get("page_of")
