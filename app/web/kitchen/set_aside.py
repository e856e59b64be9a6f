"""Food set aside, as the kitchen's pages show it: where, since when, why, and who may release it."""

from collections.abc import Iterator
from dataclasses import dataclass

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment, SetAsideView

from ..signin import identity


@dataclass(frozen=True, slots=True, kw_only=True)
class AsideLine:
    """One holder whose food is set aside; `release` leads to its release, where somebody may release it."""

    title: str
    says: str
    since: str
    href: str
    release: str | None


def aside_lines(assessment: Assessment) -> list[AsideLine]:
    """Give everything that is set aside now, the longest first."""
    found = sorted(_held(assessment), key=lambda one: one[2].since)
    return [_line(assessment, *one) for one in found]


def aside_line(assessment: Assessment, title: str, href: str, view: SetAsideView | None) -> AsideLine | None:
    """Give what is set aside in one holder; None where nothing is."""
    return None if view is None else _line(assessment, title, href, view)


def _held(assessment: Assessment) -> Iterator[tuple[str, str, SetAsideView]]:
    for load in assessment.loads:
        for spit in load.spits:
            if spit.set_aside is not None:
                title = _("Load %(load)s, spit %(spit)s", load=load.load, spit=spit.spit)
                yield title, url_for("cooking.load_page", load=load.load), spit.set_aside
    for tray in assessment.trays:
        if tray.set_aside is not None:
            yield _("Tray %(tray)s", tray=tray.tray), url_for("holding.tray_page", tray=tray.tray), tray.set_aside
    for batch in assessment.batches:
        if batch.set_aside is not None:
            title = _("Batch %(batch)s", batch=batch.batch)
            yield title, url_for("cooling.batch_page", batch=batch.batch), batch.set_aside
    for reheat in assessment.reheats:
        if reheat.set_aside is not None:
            title = _("Reheat %(reheat)s", reheat=reheat.reheat)
            yield title, url_for("reheating.reheat_page", reheat=reheat.reheat), reheat.set_aside


def _line(assessment: Assessment, title: str, href: str, view: SetAsideView) -> AsideLine:
    rules = [key.partition(":")[0] for key in (*view.findings, *view.cleared)]
    why = words.joined([words.rule_word(rule) for rule in dict.fromkeys(rules)])
    may_release = view.release and identity.may(Permission.RELEASE_FOOD)
    return AsideLine(
        title=title,
        says=_("%(why)s. Right now: %(ways)s.", why=words.sentence_start(why), ways=_ways(view)),
        since=words.local_time(view.since, assessment.site.timezone, day=assessment.day),
        href=href,
        release=url_for("releasing.release", finding=list(view.findings)) if may_release else None,
    )


def _ways(view: SetAsideView) -> str:
    return words.joined([words.to_word(way) for way in view.ways]) or _("none")
