"""A PDF as whoever holds the paper reads it: the words of a page, where its lines stand, how large its letters are."""

import io
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree as ET

import pikepdf
from pypdf import PdfReader

_WORD = "{http://www.w3.org/1999/xhtml}word"
_PAGE = "{http://www.w3.org/1999/xhtml}page"


def pages(pdf: bytes) -> list[str]:
    """Give the text of each page, with every stretch of white space as one blank."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


# ---- lines ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PrintedLine:
    """Words on one height of a page; `top` and `bottom` are shares of its height, from its upper edge."""

    text: str
    top: float
    bottom: float


def lines(pdf: bytes) -> list[list[PrintedLine]]:
    """Give the lines of each page from top to bottom, as poppler places their words."""
    done = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True)
    return [_lines(page) for page in ET.fromstring(done.stdout).iter(_PAGE)]


def _lines(page: Any) -> list[PrintedLine]:
    height = float(page.get("height"))
    found: dict[int, list[Any]] = {}
    for word in page.iter(_WORD):
        found.setdefault(round(float(word.get("yMin"))), []).append(word)
    return [
        PrintedLine(
            " ".join(word.text for word in sorted(words, key=lambda word: float(word.get("xMin")))),
            min(float(word.get("yMin")) for word in words) / height,
            max(float(word.get("yMax")) for word in words) / height,
        )
        for _top, words in sorted(found.items())
    ]


# ---- letters --------------------------------------------------------------------------------------------------------


def letter_sizes(pdf: bytes) -> set[float]:
    """Give the size in points of every letter that is shown, by what the pages' own drawing instructions say."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return {round(size, 2) for page in opened.pages for size in _sizes(page, pikepdf.Matrix())}


def _sizes(content: Any, outer: pikepdf.Matrix) -> Iterator[float]:
    """Follow the matrices and the font size through a page, or a form that it draws, to each text that it shows."""
    matrix, kept, font, line = outer, [], 0.0, pikepdf.Matrix()
    for operands, operator in pikepdf.parse_content_stream(content):
        match str(operator):
            case "q":
                kept.append(matrix)
            case "Q":
                matrix = kept.pop()
            case "cm":
                matrix = pikepdf.Matrix(*map(float, operands)) @ matrix
            case "Tf":
                font = float(operands[1])
            case "Tm":
                line = pikepdf.Matrix(*map(float, operands))
            case "Do":
                form = content.Resources.XObject[str(operands[0])]
                if form.Subtype == "/Form":
                    own = pikepdf.Matrix(*map(float, form.get("/Matrix", (1, 0, 0, 1, 0, 0))))
                    yield from _sizes(form, own @ matrix)
            case "Tj" | "TJ":
                seen = line @ matrix
                yield font * (seen.c**2 + seen.d**2) ** 0.5


# ---- tables ---------------------------------------------------------------------------------------------------------


def rows_of_fragments(pdf: bytes) -> list[tuple[int, int]]:
    """Give the rows of every table in order, and how many of them are a drawing across all columns.

    What stands of a table on another page is a table of its own.
    """
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        tables = [list(_tagged(table, "/TR")) for table in _tagged(opened.Root.StructTreeRoot, "/Table")]
        return [(len(rows), sum(map(_is_drawing, rows))) for rows in tables]


def _is_drawing(row: Any) -> bool:
    return len(_kids(row)) == 1 and any(True for _figure in _tagged(row, "/Figure"))


def _tagged(element: Any, kind: str) -> Iterator[Any]:
    for kid in _kids(element):
        if kid.get("/S") == kind:
            yield kid
        else:
            yield from _tagged(kid, kind)


def _kids(element: Any) -> list[Any]:
    kids = element.get("/K", [])
    kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
    return [kid for kid in kids if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]
