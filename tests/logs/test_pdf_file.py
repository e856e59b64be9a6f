"""The file itself: PDF/A-3a as far as it can be checked without a validator (there is none to install), and more."""

import hashlib
import io
import re
import subprocess
from collections import Counter
from itertools import combinations
from pathlib import Path
from typing import Any

import pikepdf
import pydyf
import pytest
import weasyprint
from pypdf import PdfReader

from app import logs
from app.logs.heading import paper_size
from app.logs.paper.pdf import _fetch_nothing
from app.logs.paper.written import write_each_once
from tests.support import cast, printed_day

STYLE = Path(__file__).parents[2] / "app" / "static" / "log.css"


@pytest.fixture
def pdf(day_pdf: bytes) -> pikepdf.Pdf:
    """The full day's log, opened."""
    return pikepdf.open(io.BytesIO(day_pdf))


def test_it_says_that_it_is_pdf_a_3a(pdf: pikepdf.Pdf) -> None:
    """ISO 19005-3:2012, 6.6.4: part and conformance level in the XMP metadata (clause number from memory)."""
    with pdf.open_metadata() as metadata:
        assert metadata["pdfaid:part"] == "3"
        assert metadata["pdfaid:conformance"] == "A"
        assert metadata["dc:title"] == "Daily log: Kitchen S1, Tue 14 April 2026"


def test_it_has_an_output_intent_and_no_encryption(pdf: pikepdf.Pdf) -> None:
    assert pdf.Root.OutputIntents[0].S == "/GTS_PDFA1"
    assert not pdf.is_encrypted


def test_every_font_is_embedded(pdf: pikepdf.Pdf) -> None:
    descriptors = [item for item in _dictionaries(pdf) if item.get("/Type") == "/FontDescriptor"]
    assert descriptors
    assert all(any(f"/FontFile{kind}" in item for kind in ("", "2", "3")) for item in descriptors)


def test_no_other_typeface_is_used_than_the_one_that_is_shipped(pdf: pikepdf.Pdf) -> None:
    """An embedded subset is called by six letters, a plus and its name (ISO 32000-1:2008, 9.6.4, from memory)."""
    names = {str(item.FontName) for item in _dictionaries(pdf) if item.get("/Type") == "/FontDescriptor"}
    assert {name.partition("+")[2] for name in names} == {"Ledger", "Ledger-Bold"}


def test_letters_that_the_typeface_lacks_are_printed_all_the_same(paper: None) -> None:
    text = "Łukasz, Nguyễn, Ирина"
    noted = printed_day.assessment(cast.entry("note", at="22:10", seq=90, text=text))
    file = io.BytesIO(logs.write_log(noted, head=printed_day.HEAD, records=printed_day.RECORDS))
    assert text in "".join(page.extract_text() for page in PdfReader(file).pages)


def _dictionaries(pdf: pikepdf.Pdf) -> list[Any]:
    return [item for item in pdf.objects if isinstance(item, pikepdf.Dictionary)]


def test_it_is_tagged_with_headings_and_header_cells_and_words_for_the_marks(pdf: pikepdf.Pdf) -> None:
    elements = [item for item in _dictionaries(pdf) if item.get("/Type") == "/StructElem"]
    kinds = Counter(str(item.S) for item in elements)
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en"
    assert all(kinds[kind] for kind in ("/H1", "/H2", "/H3", "/Table", "/TH", "/TD"))
    said = {str(item.get("/Alt")) for item in elements if item.S == "/Figure"}
    assert {"met", "not met", "not recorded"} <= said
    assert "None" not in said


def test_the_records_are_attached_as_their_source(pdf: pikepdf.Pdf) -> None:
    attached = pdf.attachments["records.json"]
    assert attached.get_file().read_bytes() == printed_day.RECORDS.encode()
    assert attached.obj.AFRelationship == "/Source"
    assert attached.obj.EF.F.Subtype == "/application/json"
    assert pdf.Root.AF[0].UF == "records.json"


@pytest.mark.usefixtures("paper")
def test_a_long_run_is_attached_piece_by_piece() -> None:
    """A run of months is many times as large in memory as packed."""
    asked: list[int | None] = []

    class Long(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            asked.append(size)
            return super().read(size)

    content = b'{"seq": 1}\n' * 300_000
    printed = logs.write_log(printed_day.assessment(), head=printed_day.HEAD, records=Long(content))
    assert {size for size in asked if size is None or not 0 < size <= 1024 * 1024} == set()
    with pikepdf.open(io.BytesIO(printed)) as pdf:
        attached = pdf.Root.AF[0].EF.F
        assert attached.read_bytes() == content
        assert attached.Params.Size == len(content)
        assert bytes(attached.Params.CheckSum) == hashlib.md5(content, usedforsecurity=False).digest()


def test_qpdf_finds_nothing_wrong(day_pdf: bytes, tmp_path: Path) -> None:
    path = tmp_path / "log.pdf"
    path.write_bytes(day_pdf)
    done = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.usefixtures("paper")
def test_the_same_records_and_instant_give_the_same_file(day_pdf: bytes) -> None:
    again = logs.write_log(printed_day.assessment(), head=printed_day.HEAD, records=printed_day.RECORDS)
    assert hashlib.sha256(again).hexdigest() == hashlib.sha256(day_pdf).hexdigest()


def test_its_inks_are_dark_enough_without_colour() -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1 for text; relative luminance as defined there."""
    inks = re.findall(r"(?<![-\w])color: (#\w{6})", STYLE.read_text("utf-8"))
    assert inks
    assert all(1.05 / (_luminance(ink) + 0.05) >= 4.5 for ink in inks)


def _luminance(ink: str) -> float:
    parts = [int(ink[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.usefixtures("paper")
def test_the_marks_are_four_different_shapes() -> None:
    html = logs.log_html(printed_day.assessment(), head=printed_day.HEAD)
    shapes = dict(re.findall(r'class="mark mark-(\w+)".*?</title>(.*?)</svg>', html))
    assert len(shapes) == 4
    assert all(
        re.findall(r' d="([^"]*)"', one) != re.findall(r' d="([^"]*)"', other)
        for one, other in combinations(shapes.values(), 2)
    )


@pytest.mark.parametrize(
    ("zone", "paper"),
    [
        ("America/Chicago", "letter"),
        ("Pacific/Honolulu", "letter"),
        ("America/Sao_Paulo", "A4"),
        ("Europe/London", "A4"),
        ("UTC", "A4"),
    ],
)
def test_paper_is_what_is_usual_there(zone: str, paper: str) -> None:
    assert paper_size(zone) == paper


def test_the_page_is_letter_in_chicago(pdf: pikepdf.Pdf) -> None:
    assert [float(edge) for edge in pdf.pages[0].MediaBox] == [0, 0, 612, 792]


def test_the_log_fetches_nothing() -> None:
    with pytest.raises(ValueError, match="nothing outside itself"):
        _fetch_nothing("http://127.0.0.1/")


def test_each_object_is_written_once_and_the_file_is_the_same() -> None:
    document = weasyprint.HTML(string="<html lang=en><title>Log</title><h1>Day</h1><p>Tray 1</p>").render()
    plain, once = (
        document.write_pdf(pdf_variant="pdf/a-3a", finisher=finisher) for finisher in (None, write_each_once)
    )
    assert once == plain
    asked = Counter[int]()
    document.write_pdf(pdf_variant="pdf/a-3a", finisher=lambda _document, pdf: _count_and_write_once(pdf, asked))
    assert set(asked.values()) == {1}


def _count_and_write_once(pdf: Any, asked: Counter[int]) -> None:
    class Counting(pydyf.Object):  # type: ignore[misc]  # pydyf has no types
        data = property(lambda self: (asked.update([self.number]), self.one.data)[1])
        compressible = property(lambda self: self.one.compressible)

    for place, one in enumerate(pdf.objects):
        counting = Counting()
        counting.number, counting.free, counting.one = one.number, one.free, one
        pdf.objects[place] = counting
    write_each_once(None, pdf)
