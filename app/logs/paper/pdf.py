"""The daily log as PDF/A-3: tagged, with the records attached, so that the paper can be held to the ledger."""

import hashlib
import io
import zlib
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from threading import Lock
from typing import IO, Any

from flask import current_app
from markupsafe import Markup

from app import words
from app.rules.day.shown import Assessment
from app.words.marking import gettext as _

from .view import PaperView, paper_view
from .written import write_each_once

# Filled by the stylesheet: only the finished pages know their number.
PAGE_NUMBER = Markup('<span class="page-number"></span>')
PAGE_COUNT = Markup('<span class="page-count"></span>')
_ONE_AT_A_TIME = Lock()
"""Setting a log takes a processor and much memory: a process that serves sets one at a time, and goes on serving."""

RECORDS = "records.json"
_PIECE = 1024 * 1024
"""Bytes."""
STYLE = Path(__file__).parents[2] / "static" / "log.css"


def write_log(
    assessment: Assessment, *, head: tuple[int, str], records: str | IO[bytes], certificate: str | None = None
) -> bytes:
    """Make the PDF of a day. The same assessment, head and records give the same file, byte for byte.

    `head` is the seq and hash of the last entry that was seen, `records` what is attached as `records.json`, or a file;
    `certificate` is the fingerprint of what will sign the file, None for a print that nobody vouches for. Needs an app
    context, for the templates and the language.
    """
    # Imported here: it takes most of a second, and no other command or page needs it.
    import weasyprint

    # Empty for now: it would be read whole. The bytes take its place piece by piece.
    attachment = weasyprint.Attachment(
        string="",
        name=RECORDS,
        description=_("The entries behind this log as they were hashed, each with its hash"),
        created=assessment.as_of,
        modified=assessment.as_of,
        relationship="Source",
    )
    content = io.BytesIO(records.encode()) if isinstance(records, str) else records
    html = log_html(assessment, head=head, certificate=certificate)
    return set_on_paper(html, STYLE, attachments=[attachment], finish=lambda _document, pdf: _attach(pdf, content))


def _attach(pdf: Any, content: IO[bytes]) -> None:
    """Pack a file into a PDF in the place of its one attachment, as pydyf packs any: a run of months is large."""
    (stream,) = (one for one in pdf.objects if getattr(one, "extra", {}).get("Type") == "/EmbeddedFile")
    packing, checksum, size, packed = zlib.compressobj(level=9), hashlib.md5(usedforsecurity=False), 0, []
    while piece := content.read(_PIECE):
        size += len(piece)
        checksum.update(piece)
        packed.append(packing.compress(piece))
    packed.append(packing.flush())
    stream.stream, stream.compress = [b"".join(packed)], False
    stream.extra["Filter"] = "/FlateDecode"
    stream.extra["Params"] |= {"CheckSum": f"<{checksum.hexdigest()}>", "Size": size}


@cache
def sheets(styles: tuple[Path, ...]) -> dict[str, Any]:
    """Give stylesheets and the typeface that they bring along, as WeasyPrint takes them: read once a process."""
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    return {"stylesheets": [weasyprint.CSS(filename=one, font_config=fonts) for one in styles], "font_config": fonts}


def set_on_paper(
    html: str,
    *styles: Path,
    attachments: Sequence[Any] = (),
    finish: Callable[[Any, Any], None] = lambda _document, _pdf: None,
) -> bytes:
    """Set a page on paper, one at a time in a process. The same page gives the same file, byte for byte.

    It may refer to nothing outside itself. `finish` is called as WeasyPrint's `finisher` is.
    """
    import weasyprint

    def finished(document: Any, pdf: Any) -> None:
        finish(document, pdf)
        write_each_once(document, pdf)

    document = weasyprint.HTML(string=html, url_fetcher=_fetch_nothing)
    with _ONE_AT_A_TIME:
        pdf: bytes = document.write_pdf(
            **sheets(styles), attachments=list(attachments), pdf_variant="pdf/a-3a", finisher=finished
        )
    return pdf


def log_html(assessment: Assessment, *, head: tuple[int, str], certificate: str | None = None) -> str:
    """Make the log's HTML, as it is set on paper."""
    with words.by_clock(assessment.site.clock), words.own_checks(assessment.site.own_checks):
        return render(paper_view(assessment, head=head, certificate=certificate))


def render(view: PaperView) -> str:
    """Fill the log's template. Not through Flask's own renderer: paper has no session and no form to protect."""
    template = current_app.jinja_env.get_template("log/day.html")
    return template.render(view=view, page_number=PAGE_NUMBER, page_count=PAGE_COUNT)


def _fetch_nothing(url: str) -> None:
    raise ValueError(f"The log refers to nothing outside itself, not to {url}")
