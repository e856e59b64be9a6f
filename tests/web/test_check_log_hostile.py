"""Files that somebody made to be in the way of the page that checks logs: little memory, little time, plain words."""

import html
import io
import re
import resource
import zlib

import pikepdf
import pytest
from flask import Flask

from app.server.hashing import Turns
from app.server.kept_logs import bounded, check_one
from tests.support.browsing import Browser
from tests.support.checked_log import answers, ask, pdf_of


def bomb(unpacked: int) -> bytes:
    """Give a few bytes that unpack to so many."""
    packing = zlib.compressobj()
    return b"".join(packing.compress(bytes(2**24)) for _ in range(unpacked // 2**24)) + packing.flush()


def hostile(kind: str, log: bytes) -> bytes:
    """Give a file that somebody made to be in the way."""
    if kind == "an attachment that unpacks to half a gigabyte":
        return pdf_of(("/Filter/FlateDecode", bomb(2**29)))
    if kind == "an attachment packed twice":
        return pdf_of(("/Filter[/FlateDecode/FlateDecode]", zlib.compress(zlib.compress(b"{}"))))
    if kind == "records nested without end":
        return pdf_of(("", b"[" * 200_000))
    if kind == "locked":
        writer = pikepdf.Pdf.open(io.BytesIO(log))
        out = io.BytesIO()
        writer.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))
        return out.getvalue()
    fields = b"".join(b"<</FT/Sig/T(s%d)/V<</Contents<00>/ByteRange[0 1 2 3]>>>>" % number for number in range(2_000))
    return pdf_of(("", b"{}")).replace(b"/Pages 2 0 R", b"/AcroForm<</Fields[" + fields + b"]>>/Pages 2 0 R")


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("an attachment that unpacks to half a gigabyte", "Its attachment is larger than this check reads."),
        ("an attachment packed twice", "Its attachment is packed in a way that no log is."),
        ("records nested without end", "Its attachment records.json cannot be read"),
        ("locked", "It cannot be read as a signed PDF"),
        ("thousands of signatures", "It "),
    ],
)
def test_a_file_made_to_be_in_the_way_is_told_in_bounded_memory(
    browser: Browser, log: bytes, kind: str, said: str
) -> None:
    answer = ask(browser, hostile(kind, log))
    assert answer.status_code == 200
    assert "Issued here? No." in " ".join(re.sub("<[^>]*>", " ", answers(answer)).split())
    assert said in html.unescape(answers(answer))
    # The peak of the largest process that this one started and waited for, in KiB.
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss <= check_one.MEMORY / 1024


def test_what_takes_more_than_a_log_does_is_given_up(
    browser: Browser, log: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bounded, "_COMMAND", ("sh", "-c", "kill -9 $$"))
    assert "Reading it takes more memory or time than a log does." in answers(ask(browser, log))


def test_files_are_looked_at_one_at_a_time(
    browser: Browser, log: bytes, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bounded, "_TURNS", full := Turns("files", at_once=1, waiting=0))
    with app.app_context(), full.turn():
        answer = ask(browser, log)
    assert answer.status_code == 429
    assert "Many files are being checked." in answer.get_data(as_text=True)
