"""The assessment that the kitchen's pages show: of the running day, or of an earlier one."""

from datetime import date, datetime

from flask import abort, url_for
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import clock, ledger, words
from app.kinds import Entry
from app.kinds.naming import names_of
from app.rules.day.shown import Assessment
from app.rules.facts import Concern, Finding, Status
from app.server import get_database

from ..parts.forms import EntryForm
from ..signin import identity

EARLIEST = date(1990, 1, 1)
"""Days that are asked for in earnest; the calendar begins with year 1, and nothing can be counted back from it."""


def assess_today() -> Assessment:
    """Assess the running day of the site of whoever is at the screen."""
    return assess_day(None)


def assess_day(text: str | None) -> Assessment:
    """Assess a day, or the running one; 404 where the text is no day that has begun. Its names are shown short."""
    asked, site = get_past_day(text), identity.current().site.code
    with get_database().reading() as session:
        at = now_here(session)
        assessment = ledger.assess_day(session, site, asked or ledger.today(session, site, at), as_of=at)
    show_short_names(assessment)
    return assessment


def show_short_names(assessment: Assessment) -> None:
    """Show the names of a day short in the answer to this request."""
    words.show_short({name for entry in assessment.entries for _kind, name in names_of(entry)})


def now_here(session: Session) -> datetime:
    """Give the moment by which the records of who is at the screen are looked at now."""
    return ledger.present(session, identity.current().site.code, clock.utc_now())


def get_past_day(text: str | None) -> date | None:
    """Give the day that was asked for, None where none was; 404 where the text is no day that has begun."""
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        abort(404)
    if day.isoformat() != text or day < EARLIEST:
        abort(404)
    if day > today():
        abort(404)
    return day


def today() -> date:
    """Give the kitchen's running day."""
    with get_database().reading() as session:
        return ledger.today(session, identity.current().site.code, now_here(session))


def entries_of(assessment: Assessment, kind: str, name: str) -> list[Entry]:
    """Give the entries of a day that name a load, tray, batch or reheat, all versions but withdrawals."""
    return [entry for entry in assessment.entries if (kind, name) in names_of(entry)]


def is_open(finding: Finding) -> bool:
    """Whether somebody in the kitchen still has to record the corrective action."""
    return finding.status == Status.OPEN


def lead_on(form: EntryForm, otherwise: str) -> str:
    """Give where to go after an entry: to the corrective action where it raised what wants one, else on.

    Whether it did is looked up by the request that follows: saving assesses the day once, for the page it came from.
    """
    return url_for("findings.after", entry_id=form.entry_id.data, then=otherwise)


def raised_by(assessment: Assessment, entry: Entry) -> list[Finding]:
    """Give the critical limits that an entry showed not to be met, of one subject, as far as one action can answer."""
    limits = [one for one in assessment.findings if is_open(one) and _is_raised(one, entry)]
    return [one for one in limits if one.subject == limits[0].subject and _agree(one, limits[0])]


def _is_raised(finding: Finding, entry: Entry) -> bool:
    """Whether a critical limit was not met by an entry: it opened the finding, or was the first to show it."""
    shows_first = entry.root in finding.entries and finding.found_at == entry.observed_at
    return finding.concerns == Concern.CRITICAL_LIMIT and (finding.entries[:1] == (entry.root,) or shows_first)


def _agree(one: Finding, other: Finding) -> bool:
    """Whether one thing can become of the food under both, beside having been out already."""
    return bool(set(one.dispositions) & set(other.dispositions) - {"already_out"})


def sent_back_words(assessment: Assessment, key: str) -> str:
    """Say who sent back what was done about a finding, and why; empty where nobody did, or something was done since."""
    answers = assessment.answers.get(key)
    review = answers.sent_back if answers else None
    if review is None:
        return ""
    by = assessment.site.people.get(review.person)
    values = {"name": by.name if by else review.person, "remark": review.remark or _("no remark")}
    return str(_("Sent back by %(name)s: %(remark)s", **values))
