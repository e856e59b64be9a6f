"""What a section of the printed plan is made of: lines, labelled facts and tables, all in words."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

Row = tuple[str, ...]


_CITATION = re.compile(r"\S*\d[.\-]\d\S*|\S*[A-Z]\.\d\S*")


def citations_whole(text: str) -> Markup:
    """Give a source in which no line breaks a citation such as 3-401.11(A)(3) apart."""
    span = Markup('<span class="nowrap">%s</span>')
    return Markup(" ").join(span % word if _CITATION.fullmatch(word) else word for word in text.split(" "))


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
