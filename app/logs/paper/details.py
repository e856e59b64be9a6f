"""The details of the log: every entry, in short, under the load, tray, batch, unit or probe that it is about."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from app import words
from app.kinds import CookReading, Entry, Subject, value_of
from app.words.marking import gettext as _

from ..blocks import Block, SpitRow, VerdictWords
from ..charts import Chart
from ..lines import Line
from ..sections import Section
from .drawings import SpitDrawing, place_spit


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One version of one entry in a few words. `remark` stays as it is where the rest is struck through."""

    seen: str
    value: str
    says: str
    remark: str
    is_struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Jotting:
    """A line of the details: one entry, or under a `label` those that differ in time and number read alone."""

    label: str
    items: tuple[Item, ...]

    @property
    def is_short(self) -> bool:
        """Whether it takes less than half a line of the page, so that another fits beside it."""
        return sum(len(f"{one.seen} {one.value} {one.says} {one.remark}") for one in self.items) < _HALF_A_LINE


_HALF_A_LINE = 41
"""Letters."""


Jottings = tuple[Jotting, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A subject, or a spit of it: what is known of it, and its entries in one column or more."""

    title: str
    verdict: VerdictWords | None
    known: str
    columns: tuple[Jottings, ...]
    drawing: SpitDrawing | None = None
    beside: str = ""
    """What all readings of the drawing have in common: place, probe and who read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Rows that belong together: the spits of a load under its title and start; else one row, without a title."""

    title: str
    started: Jottings
    rows: tuple[Row, ...]
    charts: tuple[Chart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """Groups under one heading, with the heads of their columns."""

    title: str
    off: str
    """The controls of this chapter that the plan does not have in force."""
    kind: str
    """loads, trays, batches or others: how wide its columns are."""
    heads: tuple[str, ...]
    groups: tuple[Group, ...]


def chapters(sections: Iterable[Section]) -> tuple[Chapter, ...]:
    """Write the chapters of the log; of those without an entry only what says that the plan asks nothing there."""
    written = (_chapter(section) for section in sections)
    return tuple(chapter for chapter in written if chapter.groups or chapter.off)


_HOLDERS = {"tray": "trays", "batch": "batches", "reheat": "batches"}


def _chapter(section: Section) -> Chapter:
    blocks = section.blocks
    groups = tuple(_load(block) if block.spits else _subject(block) for block in blocks)
    chapter = Chapter(title=section.title, off=section.off, kind="others", heads=(_("Entries"),), groups=groups)
    if any(block.spits for block in blocks):
        return replace(chapter, kind="loads", heads=(_("Loaded"), _("Read"), _("Pulled")))
    if holders := [block.holder for block in blocks if block.holder]:
        return replace(chapter, kind=_HOLDERS[holders[0].kind], heads=(_("Filled"), _("Read"), _("Moved and out")))
    return chapter


# ---- a load: a row a spit -------------------------------------------------------------------------------------------

_LOADED, _READ, _PULLED = range(3)
_OF_A_SPIT = {"spit_loaded": _LOADED, "tray_out": _LOADED, "cook_reading": _READ, "spit_pulled": _PULLED}


def _load(block: Block) -> Group:
    started = [line for line in block.lines if line.entry and line.entry.kind not in _OF_A_SPIT]
    rows = tuple(_spit(spit, block) for spit in block.spits)
    return Group(title=block.title, started=_briefly(started), rows=rows, charts=_charts(block))


def _spit(spit: SpitRow, block: Block) -> Row:
    writer, of_spit = _by_one(line for line in block.lines if line.entry and value_of(line.entry, "spit") == spit.spit)
    loaded, read, pulled = _columns(of_spit, lambda entry: _OF_A_SPIT.get(entry.kind))
    common, by_bird = _by_bird(read)
    return Row(
        title=_("Spit %(spit)s", spit=spit.spit),
        verdict=spit.verdict,
        known=_dotted(writer, spit.probed),
        columns=(_came(loaded), by_bird, _briefly(pulled)),
        drawing=place_spit(spit.rod),
        beside=common,
    )


# ---- a tray, batch or reheat: filled, read, moved and out; anything else: its entries --------------------------------


def _subject(block: Block) -> Group:
    writer, lines = _by_one(block.lines)
    known = _dotted(writer, *(f"{label} {value}" for label, value in block.facts))
    row = Row(title=block.title, verdict=block.verdict, known=known, columns=_entries(block, lines))
    return Group(title="", started=(), rows=(row,), charts=_charts(block))


def _entries(block: Block, lines: Sequence[Line]) -> tuple[Jottings, ...]:
    holder = block.holder
    if holder is None:
        return (with_subjects(lines) if block.names_subject else _briefly(lines),)
    filled, read, left = _columns(lines, lambda entry: _of_holder(entry, holder))
    return _came(filled), _briefly(read), _briefly(left)


_FILLED, _LEFT = 0, 2


def _of_holder(entry: Entry, holder: Subject) -> int:
    """Give the column of an entry: what fills the holder, what was read of it, everything else."""
    if entry.IS_READING:
        return _READ
    fills = any(flow.subject == holder and flow.birds > 0 for flow in entry.flows())
    return _FILLED if fills else _LEFT


def _charts(block: Block) -> tuple[Chart, ...]:
    return tuple(place.chart for place in block.chart_places if place.is_printed and place.chart)


# ---- entries in a few words -----------------------------------------------------------------------------------------


ColumnOf = Callable[[Entry], int | None]
"""Gives the column of an entry in its row; None where it stands in another row."""


def _columns(lines: Sequence[Line], column_of: ColumnOf) -> tuple[tuple[Line, ...], ...]:
    columns: list[list[Line]] = [[], [], []]
    for line in lines:
        column = None if line.entry is None else column_of(line.entry)
        if column is not None:
            columns[column].append(line)
    return tuple(tuple(column) for column in columns)


def _by_one(lines: Iterable[Line]) -> tuple[str, tuple[Line, ...]]:
    """Give who wrote all of some lines, and the lines without it; nobody, and the lines as they are, where several."""
    listed = tuple(lines)
    writers = {line.short_by for line in listed}
    if len(writers) != 1:
        return "", listed
    return writers.pop(), tuple(replace(line, short_by="") for line in listed)


def _came(lines: Iterable[Line]) -> Jottings:
    return tuple(_one(line, _source(line)) for line in lines)


def _briefly(lines: Iterable[Line]) -> Jottings:
    return tuple(_one(line, line.brief) for line in lines)


def with_subjects(lines: Iterable[Line]) -> Jottings:
    """Write entries of different subjects, each with what it is about."""
    return tuple(_one(line, f"{line.subject}: {line.what}" if line.subject else line.what) for line in lines)


def _one(line: Line, says: str) -> Jotting:
    return Jotting(
        label="", items=(_item(line, _joined(says, line.probe, f"{line.short_number} {line.short_by}".strip())),)
    )


def _by_bird(lines: Iterable[Line]) -> tuple[str, Jottings]:
    """Write the readings of each bird together; first what place, probe and reader they all have in common."""
    readings = [(line, line.entry, _circumstances(line)) for line in lines if isinstance(line.entry, CookReading)]
    circumstances = {each for _line, _entry, each in readings}
    common = circumstances.pop() if len(circumstances) == 1 else ""
    found: dict[str, list[Item]] = {}
    for line, entry, each in readings:
        label = _joined(_("bird %(bird)s", bird=entry.bird), "" if common else each)
        found.setdefault(label, []).append(_item(line, _joined(line.short_number, line.brief)))
    return common, tuple(Jotting(label=label, items=tuple(items)) for label, items in found.items())


def _circumstances(line: Line) -> str:
    place = words.place_word(line.entry.place) if isinstance(line.entry, CookReading) else ""
    return _joined(place, line.probe, line.short_by)


def _item(line: Line, says: str) -> Item:
    remark = _joined(_written(line), line.remark)
    return Item(seen=line.seen, value=line.value, says=says, remark=remark, is_struck=line.struck)


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _dotted(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _written(line: Line) -> str:
    """Say when it was written, where that was another minute than when it was seen."""
    if line.written == line.seen:
        return _("late") if line.late else ""
    if line.late:
        return _("written %(at)s, late", at=line.written)
    return _("written %(at)s", at=line.written)


def _source(line: Line) -> str:
    """Say out of what birds were taken; the entry stands in full there. Else what the entry says of itself."""
    flows = line.entry.flows() if line.entry else ()
    source = next((flow.subject for flow in flows if flow.birds < 0), None)
    return line.brief if source is None else _("from %(subject)s", subject=words.subject_words(source))
