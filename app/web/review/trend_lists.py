"""What is behind a figure of the trends: the very findings, readings, spits and discards, with their entries."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from flask import Blueprint, abort, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import ngettext

from app import words
from app.kinds import Subject
from app.kinds.permissions import Permission
from app.rules.facts import Verdict
from app.rules.figures import trends
from app.rules.figures.day_figures import (
    MISSED_AT_AN_HOUR,
    MISSED_IN_A_DAY,
    CookFigure,
    DayFigures,
    DiscardFigure,
    FoundFigure,
    HeldFigure,
    weight_class,
)

from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .trend_days import Range, asked_range, find_bird_cost, read_days, with_refresh
from .trend_tables import Cell, Figures, Line, cost_words, is_one_week, list_address, reason_words, weight_words

blueprint = Blueprint("trend_lists", __name__, url_prefix="/trends")

_A_PAGE = 100
_CHARTS = {"tray": "tray", "load": "load", "batch": "batch", "probe": "probe", "cold_unit": "unit", "hot_unit": "unit"}
_RANGE = ("span", "first", "last")
_FILTERS = ("rule", "verdict", "hour", "hot_unit", "unit", "low", "weight_unit", "weight_from", "kind", "reason")
_TRACED = ("load", "tray", "batch", "reheat")


@dataclass(frozen=True, slots=True)
class Item:
    """One thing behind a figure: its day, when, what, what was read or found, and where its entries are."""

    day: date
    at: str
    title: str
    says: str
    verdict: Verdict | None
    subject: Subject
    weight: int = 1
    """What it counts for in the figure: 1, or quarters of birds."""

    @property
    def links(self) -> Sequence[Cell]:
        """The day, its entries, and the chart or trace of what it is about."""
        links = [
            Cell(words.day_words(self.day), url_for("review.day_page", day=self.day.isoformat())),
            Cell(_("Entries"), url_for("mending.entries", day=self.day.isoformat())),
        ]
        kind = "load" if self.subject.kind == "spit" else self.subject.kind
        if kind in _CHARTS:
            address: dict[str, Any] = {_CHARTS[kind]: self.subject.name, "day": self.day.isoformat()}
            links.append(Cell(_("Chart"), url_for(f"charts.{_CHARTS[kind]}", **address)))
        if kind in _TRACED:
            links.append(Cell(_("Trace"), url_for("tracing.trace", name=self.subject.name)))
        return links


@dataclass(frozen=True, slots=True)
class ListPage:
    """The things behind a figure, a page of them at a time, and how they lie in the weeks of the range."""

    title: str
    days: Range
    total: str
    weeks: Figures | None
    items: Sequence[Item]
    newer: str
    older: str
    missing: int


Chosen = Callable[[DayFigures], Iterable[Item]]
Total = Callable[[int], str]


@blueprint.get("/findings")
@requires(Permission.READ_TRENDS)
def findings() -> ResponseReturnValue:
    """List findings of a rule and verdict, or all."""
    rule, verdict = request.args.get("rule"), _verdict(request.args.get("verdict"))

    def chosen(day: DayFigures) -> Iterable[Item]:
        for one in day.found:
            if rule in (None, one.rule) and verdict in (None, one.verdict):
                yield _finding(day.day, one)

    return _listed(_findings_title(rule, verdict), chosen, _findings_counted)


def _findings_counted(count: int) -> str:
    return str(ngettext("%(num)s finding", "%(num)s findings", count))


@blueprint.get("/missed")
@requires(Permission.READ_TRENDS)
def missed() -> ResponseReturnValue:
    """List checks that were missed, in an hour of the kitchen's clock or of one rule."""
    hour, rule = _hour(request.args.get("hour")), request.args.get("rule")
    rules = (rule,) if rule in (*MISSED_AT_AN_HOUR, MISSED_IN_A_DAY) else MISSED_AT_AN_HOUR

    def chosen(day: DayFigures) -> Iterable[Item]:
        for one in day.found:
            if one.rule in rules and hour in (None, one.hour):
                yield _finding(day.day, one)

    title = _("Checks missed") if hour is None else _("Checks missed, %(hour)s", hour=words.hour_words(hour))
    return _listed(title, chosen, _findings_counted)


@blueprint.get("/holding")
@requires(Permission.READ_TRENDS)
def holding() -> ResponseReturnValue:
    """List hot-hold readings of a unit and scale; `low`: those under the limit."""
    hot_unit, unit, low = request.args.get("hot_unit"), request.args.get("unit"), bool(request.args.get("low"))

    def chosen(day: DayFigures) -> Iterable[Item]:
        for one in day.held:
            if hot_unit in (None, one.hot_unit) and unit in (None, one.reading.unit) and (one.is_low or not low):
                yield _reading(day.day, one)

    where = hot_unit or (_("all units") if hot_unit is None else _("no unit recorded"))
    title = _("Hot-hold readings under the limit: %(unit)s") if low else _("Hot-hold readings: %(unit)s")
    return _listed(title % {"unit": where}, chosen, _readings_counted, details=True)


def _readings_counted(count: int) -> str:
    return str(ngettext("%(num)s reading", "%(num)s readings", count))


@blueprint.get("/cooking")
@requires(Permission.READ_TRENDS)
def cooking() -> ResponseReturnValue:
    """List the spits of a class of weight, or all."""
    unit = request.args.get("weight_unit")
    start = request.args.get("weight_from", 0, type=int)
    if unit not in (None, "", "lb", "kg"):
        abort(404)

    def chosen(day: DayFigures) -> Iterable[Item]:
        for one in day.cooked:
            if unit is None or weight_class(one) == (unit, start):
                yield _spit(day.day, one)

    title = _("Spits cooked") if unit is None else _("Spits cooked: birds of %(weight)s")
    weight = weight_words(unit, start) if unit is not None else ""
    return _listed(title % {"weight": weight} if weight else title, chosen, _spits_counted, details=True)


def _spits_counted(count: int) -> str:
    return str(ngettext("%(num)s spit", "%(num)s spits", count))


@blueprint.get("/discarded")
@requires(Permission.READ_TRENDS)
def discarded() -> ResponseReturnValue:
    """List what was thrown away out of a kind of subject and for a reason, or all."""
    kind, reason = request.args.get("kind"), request.args.get("reason")

    def chosen(day: DayFigures) -> Iterable[Item]:
        for one in day.discarded:
            if kind in (None, one.source.kind) and reason in (None, one.reason):
                yield _discard(day.day, one)

    cost = find_bird_cost()

    def total(quarters: int) -> str:
        birds = words.birds(Decimal(quarters) / 4)
        if cost is None:
            return birds
        return str(_("%(birds)s, %(cost)s at today's cost of a bird", birds=birds, cost=cost_words(quarters, cost)))

    return _listed(_("Birds thrown away"), chosen, total)


# ---- the page ----------------------------------------------------------------------------------------------------


def _listed(title: str, chosen: Chosen, total: Total, *, details: bool = False) -> ResponseReturnValue:
    _form, days = asked_range()
    if days is None:
        return redirect(url_for("trends.index", **_asked(*_RANGE)), 303)
    read = read_days(days, details=details)
    days = read.range
    items = [
        item for day in reversed(read.days) for item in sorted(chosen(day), key=lambda item: item.at, reverse=True)
    ]
    pages = max(-(-len(items) // _A_PAGE), 1)
    number = min(max(request.args.get("page", 1, type=int), 1), pages)
    view = ListPage(
        title=title,
        days=days,
        total=total(sum(item.weight for item in items)),
        weeks=None if is_one_week(days) or not items else _weeks(items, days, total),
        items=items[(number - 1) * _A_PAGE : number * _A_PAGE],
        newer=_page_address(number - 1) if number > 1 else "",
        older=_page_address(number + 1) if number < pages else "",
        missing=read.missing,
    )
    return with_refresh(page("trends/list.html", view=view), read.missing)


def _page_address(number: int) -> str:
    return url_for(request.endpoint or "", **{**_asked(*_RANGE, *_FILTERS), "page": str(number)})


def _asked(*names: str) -> dict[str, Any]:
    """Give what was asked under some names: nothing else of an address goes on into another."""
    return {name: request.args[name] for name in names if name in request.args}


def _weeks(items: Sequence[Item], days: Range, total: Total) -> Figures:
    """Say how much of it lies in each week, the newest first; each leads to the same list of that week."""
    counted: dict[str, int] = {}
    for item in items:
        week = trends.week_of(item.day)
        counted[week] = counted.get(week, 0) + item.weight
    about = _asked(*_FILTERS)
    name = (request.endpoint or "").rpartition(".")[2]
    lines = [
        Line(
            words.days_words(week.first, week.last),
            [Cell(total(counted[week.number]), list_address(name, Range(week.first, week.last), **about))],
        )
        for week in reversed(trends.weeks_of(days.first, days.last))
        if week.number in counted
    ]
    return Figures([_("Week"), _("Of these")], lines)


def _verdict(text: str | None) -> Verdict | None:
    if text is None:
        return None
    return Verdict(text) if text in list(Verdict) else abort(404)


def _hour(text: str | None) -> int | None:
    if text is None:
        return None
    return int(text) if text.isascii() and text.isdigit() and len(text) < 3 and int(text) < 24 else abort(404)


def _findings_title(rule: str | None, verdict: Verdict | None) -> str:
    name = words.sentence_start(words.rule_word(rule)) if rule else _("Findings")
    return _("%(rule)s: %(verdict)s", rule=name, verdict=words.verdict_word(verdict)) if verdict else name


# ---- what an item says -------------------------------------------------------------------------------------------


def _clock(at: datetime, day: date) -> str:
    return words.local_time(at, identity.current().site.timezone, day=day)


def _finding(day: date, one: FoundFigure) -> Item:
    title = words.sentence_start(words.subject_words(one.subject))
    says = words.sentence_start(words.rule_word(one.rule))
    at = "" if one.rule == MISSED_IN_A_DAY else _clock(one.onset_at, day)
    return Item(day, at, title, says, one.verdict, one.subject)


def _reading(day: date, one: HeldFigure) -> Item:
    subject = Subject("tray", one.tray)
    title = words.sentence_start(words.subject_words(subject))
    verdict = Verdict.NOT_MET if one.is_low else None
    return Item(day, _clock(one.seen_at, day), title, words.measured(one.reading), verdict, subject)


def _spit(day: date, one: CookFigure) -> Item:
    subject = Subject("spit", one.load, one.spit)
    weight = "" if one.weight is None else f", {words.number(Decimal(one.weight) / 100)} {one.weight_unit}"
    says = f"{words.minutes(one.minutes)}, {words.birds(one.birds)}{weight}"
    return Item(
        day, _clock(one.pulled_at, day), words.sentence_start(words.subject_words(subject)), says, None, subject
    )


def _discard(day: date, one: DiscardFigure) -> Item:
    title = words.sentence_start(words.subject_words(one.source))
    known = one.reason or one.source.kind == "tray"
    says = words.birds(Decimal(one.quarters) / 4) + (f", {reason_words(one.reason)}" if known else "")
    return Item(day, _clock(one.seen_at, day), title, says, None, one.source, one.quarters)
