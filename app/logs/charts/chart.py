"""A chart as the pages and the paper take it: a sentence, a drawing, a table."""

import base64
import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

from markupsafe import escape


@dataclass(frozen=True, slots=True)
class Table:
    """The numbers of a chart, for whoever cannot see it or wants to read them: as they were read, not as drawn."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """How large a drawing is, in points: its width, the height of one diagram and of each more, and its letters."""

    width: float
    height: float
    panel: float
    letters: float

    def size(self, panels: int) -> tuple[int, int]:
        """Give width and height of a drawing of so many diagrams."""
        return round(self.width), round(self.height + self.panel * (panels - 1))


ON_SCREEN = Shape(width=518, height=187, panel=36, letters=8)
ON_PAPER = Shape(width=518, height=105, panel=30, letters=9)
"""As wide as an A4 page between its margins: it is printed in its own size."""

LETTERS = "Ledger, Atkinson Hyperlegible Next, DejaVu Sans, Verdana, sans-serif"
"""The typefaces of a drawing: on a page and on paper the one that is shipped; a file of its own takes what is there."""

FILE_STYLE = ":root{color:#1d1c1a}@media(prefers-color-scheme:dark){:root{color:#f0ede4}}"
"""The inks of a drawing that is a file of its own, and so inherits none: those of the pages' style sheet."""

FILE_STYLE_SOURCE = f"'sha256-{base64.b64encode(hashlib.sha256(FILE_STYLE.encode()).digest()).decode()}'"
"""What a content security policy says to let exactly that style in."""


@dataclass(frozen=True)
class Chart:
    """A drawing, what it shows in one sentence (its alternative text), and its numbers. A template prints it as SVG.

    It is drawn and tabulated when it is first asked for: a page that only names a chart pays for none.
    """

    title: str
    draw: Callable[[Shape], str]
    tabulate: Callable[[], Table]

    @cached_property
    def svg(self) -> str:
        """The drawing, to stand inside a page."""
        return self.draw(ON_SCREEN)

    @property
    def on_paper(self) -> "Chart":
        """The same chart, drawn for paper."""
        return replace(self, draw=lambda _shape: self.draw(ON_PAPER))

    @cached_property
    def table(self) -> Table:
        """The numbers as they were read."""
        return self.tabulate()

    @property
    def file(self) -> str:
        """The drawing as a file of its own: ink on paper, in the dark chalk on slate."""
        start = self.svg.index(">") + 1
        return f"{self.svg[:start]}<style>{FILE_STYLE}</style>{self.svg[start:]}"

    def __html__(self) -> str:
        """Give the SVG; the texts in it were escaped when it was drawn."""
        return self.svg


def in_words(sentence: str) -> Chart:
    """Give a sentence in the place of a drawing, where there is too little to draw yet."""
    text = f'<title>{escape(sentence)}</title><text x="8" y="32" font-size="12">{escape(sentence)}</text>'
    names = 'xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 518 64"'
    root = f'<svg {names} fill="currentColor" font-family="{LETTERS}">'
    return Chart(sentence, lambda _shape: f"{root}{text}</svg>", lambda: Table((), ()))
