"""PDFs set once a worker, for tests that walk every page: they look at who is given one, not at what is in it."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import weasyprint

_set: dict[tuple[str | None, tuple[str, ...]], bytes] = {}
"""By the title of the page and the stylesheets that they were set from."""


@contextmanager
def each_page_set_once() -> Iterator[None]:
    """Set a page no second time, whatever its kitchen has written since; what is attached is that of the first."""
    really = weasyprint.HTML.write_pdf

    def write_pdf(page: weasyprint.HTML, **options: Any) -> bytes:
        styles = tuple(str(one.base_url) for one in options["stylesheets"])
        key = page.etree_element.findtext(".//title"), styles
        if key not in _set:
            _set[key] = really(page, **options)
        return _set[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(weasyprint.HTML, "write_pdf", write_pdf)
        yield
