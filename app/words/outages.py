"""Why nothing can be saved now, and what to do: for who reads a screen, for programs, for whoever keeps the server."""

from .marking import N_, say
from .marking import gettext as _

_WHAT = {
    "full": N_("The disk of the server is full."),
    "read_only": N_("The disk of the server cannot be written to."),
    "broken": N_("The disk of the server, or the file of the records on it, is damaged."),
    "locked": N_("Another program on the server holds the records."),
    "gone": N_("The file of the records is not there, or cannot be opened."),
    "not_set_up": N_("The records of this server are not set up yet."),
    "other_version": N_("The records of this server are of another version of the program."),
    "away": N_("The database does not answer."),
}

_TO_DO = {
    "full": N_("Make room on it; then saving works again."),
    "read_only": N_("See why its file system is read-only, or who may write to the file; then saving works again."),
    "broken": N_("Look at the server's disk. Run the command verify; a backup is put back with restore."),
    "locked": N_("End that program, or wait for it."),
    "gone": N_("Put it where DATABASE_URL says; for a new kitchen run the command init, or demo, first."),
    "not_set_up": N_("Run the command init, or demo, first."),
    "other_version": N_("Run the command upgrade with the newest program."),
    "away": N_("Start it again, or set DATABASE_URL right."),
}


def outage_words(outage: str) -> str:
    """Say what is wrong, in one sentence."""
    return say(_WHAT, outage)


def outage_to_do_words(outage: str) -> str:
    """Say to whoever keeps the server what to do."""
    return say(_TO_DO, outage)


def outage_page_words(outage: str) -> str:
    """Say to who reads a screen what is wrong and what to do."""
    what = outage_words(outage)
    if outage in ("away", "locked"):
        return _("%(what)s Nothing was saved. Try again in a minute, and write on paper until then.", what=what)
    return _(
        "%(what)s Nothing was saved. Tell whoever runs the server, and write on paper until it works again.",
        what=what,
    )
