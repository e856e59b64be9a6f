"""What a file is, by opening it: nobody's word for it, and nothing but PDF, PNG and JPEG."""

import pytest

from app.register import Refused
from app.server.file_kinds import media_type_of
from tests.support.files import a_pdf, a_picture


@pytest.mark.parametrize(
    ("content", "media_type"),
    [(a_pdf(), "application/pdf"), (a_picture("PNG"), "image/png"), (a_picture("JPEG"), "image/jpeg")],
    ids=["PDF", "PNG", "JPEG"],
)
def test_a_pdf_and_a_picture_are_known_by_what_is_in_them(content: bytes, media_type: str) -> None:
    assert media_type_of(content) == media_type


@pytest.mark.parametrize(
    "content",
    [b"GIF89a", b"<html>", b"%PDF-1.7 and then nothing", a_picture("PNG")[:40]],
    ids=["another picture", "a page", "half a PDF", "half a picture"],
)
def test_anything_else_is_refused_at_the_file(content: bytes) -> None:
    with pytest.raises(Refused) as refused:
        media_type_of(content)
    assert (refused.value.field, refused.value.code) == ("file", "kind")
