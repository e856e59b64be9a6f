"""A PAdES signature under a PDF, checked by pyHanko and by poppler."""

import io
import subprocess
from functools import cache
from pathlib import Path

import pikepdf
import pytest
from flask import Flask
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko.sign.validation.status import PdfSignatureStatus
from pyhanko_certvalidator import ValidationContext

from app import logs
from app.server import kept_logs
from app.server.kept_logs.apart import run_apart
from tests.support import cast, printed_day

EVENING = cast.moment("19:00")


@pytest.fixture
def plain(house: Flask) -> bytes:
    """The log of the full day, not signed."""
    return _plain()


@cache
def _plain() -> bytes:
    return logs.write_log(printed_day.assessment(), head=printed_day.HEAD, records=printed_day.RECORDS)


def validated(pdf: bytes) -> PdfSignatureStatus:
    (signature,) = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    trusted = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False, moment=EVENING)
    return run_apart(validate_pdf_signature, signature, trusted)


def test_the_whole_file_is_signed_by_the_kitchens_certificate(plain: bytes) -> None:
    signed = kept_logs.sign_pdf("S1", plain, at=EVENING)
    status = validated(signed)
    assert (status.intact, status.valid, status.trusted) == (True, True, True)
    assert status.coverage is SignatureCoverageLevel.ENTIRE_FILE
    assert status.signing_cert.sha256.hex() == kept_logs.identity_of("S1", at=EVENING).fingerprint
    assert signed.startswith(plain)


def test_it_stays_tagged_pdf_a_3_with_its_attachment_and_a_widget_that_prints(plain: bytes) -> None:
    """ISO 19005-3:2012, 6.3.2 (from memory): a widget has the Print flag and not Hidden, Invisible or NoView."""
    with pikepdf.open(io.BytesIO(kept_logs.sign_pdf("S1", plain, at=EVENING))) as pdf:
        with pdf.open_metadata() as metadata:
            assert (metadata["pdfaid:part"], metadata["pdfaid:conformance"]) == ("3", "A")
        assert pdf.Root.MarkInfo.Marked
        assert len(pdf.attachments) == 1
        (widget,) = pdf.Root.AcroForm.Fields
        assert int(widget.F) & 0b100111 == 0b100
        assert [float(edge) for edge in widget.Rect] == [0, 0, 0, 0]
        assert pdf.Root.Perms.DocMDP.SubFilter == "/ETSI.CAdES.detached"


def test_poppler_finds_the_signature_valid(plain: bytes, tmp_path: Path) -> None:
    file = tmp_path / "signed.pdf"
    file.write_bytes(kept_logs.sign_pdf("S1", plain, at=EVENING))
    said = subprocess.run(["pdfsig", "-nocert", file], capture_output=True, text=True, check=True).stdout
    assert "Signature Type: ETSI.CAdES.detached" in said
    assert "Total document signed" in said
    assert "Signature is Valid" in said


def test_a_changed_byte_of_what_is_signed_is_found(plain: bytes) -> None:
    signed = kept_logs.sign_pdf("S1", plain, at=EVENING)
    place = signed.index(b"Daily log") if b"Daily log" in signed else len(plain) // 2
    changed = signed[:place] + bytes([signed[place] ^ 1]) + signed[place + 1 :]
    try:
        status = validated(changed)
    except Exception:
        return
    assert not status.intact
