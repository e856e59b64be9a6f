"""What a file is that somebody adds: a PDF or a picture, found by opening it, whatever its name says."""

import io

from app.register import Refused

_BEGINNINGS = (
    (b"%PDF-", "application/pdf"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"\xff\xd8\xff", "image/jpeg"),
)


def media_type_of(content: bytes) -> str:
    """Give what a file is. Raises Refused (file kind) for anything but a PDF, PNG or JPEG that can be opened."""
    media_type = next((type_ for beginning, type_ in _BEGINNINGS if content.startswith(beginning)), None)
    if media_type is None or not _opens(content, media_type):
        raise Refused("file", "kind")
    return media_type


def _opens(content: bytes, media_type: str) -> bool:
    """Whether the file is whole enough to be opened: what cannot be read is no evidence."""
    # Imported here: they are heavy, and only an upload needs them.
    from PIL import Image
    from pyhanko.pdf_utils.misc import PdfError
    from pyhanko.pdf_utils.reader import PdfFileReader

    try:
        if media_type == "application/pdf":
            pages = PdfFileReader(io.BytesIO(content), strict=False).root["/Pages"]["/Count"]
            return int(pages) > 0
        with Image.open(io.BytesIO(content)) as picture:
            picture.verify()
    except (PdfError, OSError, SyntaxError, ValueError, KeyError, TypeError, Image.DecompressionBombError):
        return False
    return True
