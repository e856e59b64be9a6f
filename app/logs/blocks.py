"""Birds as blocks of the log: a delivery, a load with its spits, a tray, a batch, a reheat, with their lines."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from app import words
from app.kinds import Entry, Subject
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import (
    BatchView,
    LoadView,
    ReceivingView,
    ReheatView,
    SpitView,
    StageView,
    TrayView,
)
from app.rules.facts import Verdict, worst
from app.words.marking import gettext as _
from app.words.marking import ngettext

from . import day_charts
from .day_charts import ChartPlace
from .drawings import Rod, rod
from .gists import load_gist, tray_gist
from .lines import Line, Logbook


@dataclass(frozen=True, slots=True)
class VerdictWords:
    """A verdict: its code, which picks the mark, and its word."""

    code: str
    word: str


@dataclass(frozen=True, slots=True)
class SpitRow:
    """A spit of a load: how many birds were probed, the lowest reading, when it was pulled and into which trays."""

    spit: int
    birds: str
    lots: str
    probed: str
    pulled: str
    trays: str
    verdict: VerdictWords
    rod: Rod


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A subject with what is known about it (label and value), its verdict where it has one, and its lines."""

    title: str
    verdict: VerdictWords | None = None
    on_page: tuple[tuple[str, str], ...] = ()
    """What the day's page says beside `facts`; paper has it in another place, or no need of it."""
    facts: tuple[tuple[str, str], ...] = ()
    spits: tuple[SpitRow, ...] = ()
    lines: tuple[Line, ...] = ()
    chart_places: tuple[ChartPlace, ...] = ()
    holder: Subject | None = None
    """What holds the birds, where it is about a tray, batch or reheat."""
    names_subject: bool = False
    """Whether each line says what it is about, because the title does not."""
    gist: str = ""
    """What the page of the day says of it in one line, while it is folded."""

    @property
    def sums_up(self) -> VerdictWords | None:
        """Its verdict, of a load the worst of its spits; None where nothing of it is judged."""
        verdicts = [Verdict(spit.verdict.code) for spit in self.spits]
        return self.verdict or (verdict_words(worst(verdicts)) if verdicts else None)

    @property
    def is_folded(self) -> bool:
        """Whether the page of the day shows it in one line until it is opened: nothing is wrong with it."""
        return self.sums_up is None or self.sums_up.code not in (Verdict.NOT_MET, Verdict.NOT_SHOWN)

    @property
    def is_brief(self) -> bool:
        """Whether it is one line when the page is printed: a load or a tray that met what was asked."""
        return bool(self.gist) and self.sums_up is not None and self.sums_up.code == Verdict.MET


def verdict_words(verdict: Verdict) -> VerdictWords:
    """Give a verdict's code and word."""
    return VerdictWords(verdict.value, words.verdict_word(verdict))


def counts(assessment: Assessment) -> tuple[tuple[VerdictWords, str], ...]:
    """Give how many findings the day has of each verdict, the worse first; none of what it has none of."""
    verdicts = [finding.verdict for finding in assessment.findings]
    return tuple(
        (verdict_words(verdict), str(verdicts.count(verdict)))
        for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN)
        if verdict in verdicts
    )


def load_block(load: LoadView, book: Logbook) -> Block:
    """Write a load: its spits in a table, then every reading, pull and loading."""
    entries: list[Entry] = [load.opener]
    for spit in load.spits:
        entries += [*spit.loadings, *spit.readings, *spit.pulls]
    return Block(
        title=_("Load %(load)s, oven %(oven)s", load=load.load, oven=load.oven),
        facts=((_("started"), book.time(load.started_at)),),
        spits=tuple(_spit_row(spit, load, book) for spit in load.spits),
        lines=book.lines(entries),
        chart_places=day_charts.of_load(load, book.assessment),
        gist=load_gist(load),
    )


def _spit_row(spit: SpitView, load: LoadView, book: Logbook) -> SpitRow:
    return SpitRow(
        spit=spit.spit,
        birds=str(spit.birds),
        lots=", ".join(spit.lots) or _("none named"),
        probed="; ".join([probed_words(spit), *words.beside_words(spit)]),
        pulled=_time_or_dash(spit.pulled_at, book) if not spit.birds_on else _still_on(spit, book),
        trays=", ".join(spit.trays) or "–",
        verdict=verdict_words(spit.verdict),
        rod=rod(load, spit),
    )


def probed_words(spit: SpitView) -> str:
    """Give how many birds of a spit were probed, and the lowest reading: `2 of 6 birds probed, lowest 168 °F`."""
    probed = ngettext(
        "%(probed)s of %(birds)s bird probed",
        "%(probed)s of %(birds)s birds probed",
        spit.birds,
        probed=spit.birds_probed,
        birds=spit.birds,
    )
    if spit.lowest is None:
        return probed
    return _("%(probed)s, lowest %(lowest)s", probed=probed, lowest=words.measured(spit.lowest))


def _still_on(spit: SpitView, book: Logbook) -> str:
    left = words.still_on(spit)
    return left if spit.pulled_at is None else f"{book.time(spit.pulled_at)}, {left}"


def tray_block(tray: TrayView, book: Logbook) -> Block:
    """Write a tray: where it is, its birds, its times, then all that happened to it."""
    known_hot = _time(_("last known hot"), tray.known_hot_at, book)
    facts = [
        *_optional(_("unit"), tray.hot_unit),
        *(known_hot if tray.birds_left else ()),
        *_time(_("next check due"), tray.check_due_at, book),
        *_time(_("discard by"), tray.discard_at, book),
    ]
    if tray.out_of_temperature_s:
        out = _(
            "%(length)s, %(band)s",
            length=words.duration(tray.out_of_temperature_s),
            band=words.band_word(tray.time_band),
        )
        facts.append((_("out of temperature"), out))
    return Block(
        title=_("Tray %(tray)s", tray=tray.tray),
        verdict=verdict_words(tray.verdict),
        on_page=(*_birds(tray.birds_in, tray.birds_left), *(() if tray.birds_left else known_hot)),
        facts=tuple(facts),
        lines=book.lines(tray.history),
        chart_places=day_charts.of_tray(tray, book.assessment),
        holder=Subject("tray", tray.tray),
        gist=tray_gist(tray),
    )


def batch_block(batch: BatchView, book: Logbook) -> Block:
    """Write a chilled batch: the two marks of its cooling, its date, then all that happened to it."""
    stages = [stage for stage in (batch.first_stage, batch.total) if stage is not None]
    facts = [
        *_optional(_("unit"), batch.cold_unit),
        (_("cooling from"), book.time(batch.started_at)),
        *_stage(_("first stage"), batch.first_stage, book),
        *_stage(_("second stage"), batch.total, book),
        *_optional(_("use by"), words.day_words(batch.use_by) if batch.use_by else None),
    ]
    return Block(
        title=_("Batch %(batch)s", batch=batch.batch),
        verdict=verdict_words(worst(stage.verdict for stage in stages)) if stages else None,
        on_page=_birds(batch.birds_in, batch.birds_left),
        facts=tuple(facts),
        lines=book.lines(batch.history),
        chart_places=day_charts.of_batch(batch, book.assessment),
        holder=Subject("batch", batch.batch),
    )


def reheat_block(reheat: ReheatView, book: Logbook) -> Block:
    """Write a reheat: from where, by when, then its readings."""
    return Block(
        title=_("Reheat %(reheat)s", reheat=reheat.reheat),
        verdict=verdict_words(reheat.verdict),
        on_page=_birds(reheat.birds_in, reheat.birds_left),
        facts=(
            (_("from"), words.subject_words(reheat.source)),
            (_("started"), book.time(reheat.started_at)),
            (_("due"), book.time(reheat.due_at)),
        ),
        lines=book.lines(reheat.history),
        holder=Subject("reheat", reheat.reheat),
    )


def receiving_block(received: ReceivingView, book: Logbook) -> Block:
    """Write a delivery."""
    return Block(
        title=_("Lot %(lot)s", lot=received.lot),
        verdict=verdict_words(received.verdict),
        lines=book.lines([received.entry]),
    )


def _birds(birds_in: Decimal, left: Decimal) -> tuple[tuple[str, str], ...]:
    return ((_("birds in"), words.bird_count(birds_in)), (_("left"), words.bird_count(left)))


def _optional(label: str, value: str | None) -> tuple[tuple[str, str], ...]:
    return ((label, value),) if value else ()


def _time(label: str, at: datetime | None, book: Logbook) -> tuple[tuple[str, str], ...]:
    return () if at is None else ((label, book.time(at)),)


def _stage(label: str, stage: StageView | None, book: Logbook) -> tuple[tuple[str, str], ...]:
    if stage is None:
        return ()
    return (
        (label, _("%(verdict)s (by %(due)s)", verdict=words.verdict_word(stage.verdict), due=book.time(stage.due_at))),
    )


def _time_or_dash(at: datetime | None, book: Logbook) -> str:
    return "–" if at is None else book.time(at)
