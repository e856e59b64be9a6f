"""Small files, as somebody adds them to a plan."""

import io

import pikepdf
from PIL import Image


def a_pdf(padding: int = 0) -> bytes:
    """A PDF of one page, with so many bytes after its end."""
    with pikepdf.new() as made:
        made.add_blank_page()
        out = io.BytesIO()
        made.save(out, deterministic_id=True)  # the usual one holds the second at which it was made
    return out.getvalue() + b"\n" * padding


def a_picture(kind: str = "PNG") -> bytes:
    """A picture of four by four points."""
    out = io.BytesIO()
    Image.new("RGB", (4, 4), "white").save(out, kind)
    return out.getvalue()
