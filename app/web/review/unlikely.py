"""What is asked about a reading that is written down or mended in the form of its kind: the tick there answers it."""

from flask_babel import gettext as _

from app import clock, words
from app.rules.day.shown import Assessment
from app.rules.meaning import asking

from ..kitchen.confirming import read
from ..parts.forms import Draft, EntryForm
from ..signin import identity


def is_answered(form: EntryForm, draft: Draft, day: Assessment, *, mended: str | None = None) -> bool:
    """Whether nothing is asked about the reading of a draft, or its tick says that it is right; else it is asked there.

    `day` is the one in which it was seen; `mended` the id of the first version, where it mends an entry.
    """
    reading, of = read(draft), asking.of_entry(day, draft["kind"], draft, but=mended)
    if reading is None or of is None or draft.get("confirmed"):
        return True
    site, now = identity.current().site, clock.utc_now()
    probe = site.equipment.get(draft.get("probe") or "")
    where = {"bird": draft.get("bird"), "place": draft.get("place")}
    is_dual = probe is None or probe.scale not in ("F", "C")
    questions = of.about(reading, is_dual=is_dual, at=form.seen_or_now(now), **where)
    for question in questions:
        said = words.question_words(question, reading, site.timezone)
        form.refuse("confirmed", _("%(question)s If it is right, tick this.", question=said))
    return not questions
