"""What a section of the printed plan is made of: lines, labelled facts and tables, all in words."""

from collections.abc import Sequence
from dataclasses import dataclass

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Lines of text, then facts (label and value), then a table; each may be empty."""

    title: str = ""
    lines: Sequence[str] = ()
    facts: Sequence[tuple[str, str]] = ()
    heads: Row = ()
    rows: Sequence[Row] = ()
    widths: Sequence[int] = ()
    """Of the columns, in percent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A numbered section. `missing` says what only the kitchen can add and has not yet; empty where nothing lacks."""

    key: str
    title: str
    number: int = 0
    blocks: tuple[Block, ...] = ()
    missing: str = ""

    @property
    def heading(self) -> str:
        """Its number and title, as other sections refer to it."""
        return f"{self.number}. {self.title}"
