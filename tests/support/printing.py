"""PDFs set once a worker, for tests that walk every page: they look at who is given one, not at what is in it."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from xml.etree import ElementTree

import pytest
import weasyprint

_set: dict[tuple[bytes, tuple[str, ...]], bytes] = {}
"""By the page and the stylesheets that they were set from."""


@contextmanager
def each_page_set_once() -> Iterator[None]:
    """Set a page that was set before no second time; what is attached to it is that of the first."""
    really = weasyprint.HTML.write_pdf

    def write_pdf(page: weasyprint.HTML, **options: Any) -> bytes:
        styles = tuple(str(one.base_url) for one in options["stylesheets"])
        key = ElementTree.tostring(page.etree_element), styles
        if key not in _set:
            _set[key] = really(page, **options)
        return _set[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(weasyprint.HTML, "write_pdf", write_pdf)
        yield
