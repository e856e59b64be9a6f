"""Style sheets and scripts are sent compressed to whoever can read that; pages, which hold a secret, are not."""

import gzip
from pathlib import Path

import pytest

from tests.support.browsing import Browser

STATIC = Path(__file__).parents[2] / "app" / "static"


@pytest.mark.parametrize("file", sorted(path.name for path in STATIC.iterdir() if path.is_file()))
def test_a_static_text_is_packed_and_is_what_it_was(cook: Browser, file: str) -> None:
    plain = cook.client.get(f"/static/{file}")
    packed = cook.client.get(f"/static/{file}", headers={"Accept-Encoding": "gzip, br"})
    assert (plain.headers.get("Content-Encoding"), packed.headers["Content-Encoding"]) == (None, "gzip")
    assert gzip.decompress(packed.data) == plain.data
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data)
    assert "Accept-Encoding" in plain.headers["Vary"]


@pytest.mark.parametrize("path", ["/", "/static/fonts/atkinson-hyperlegible-next-bold.woff2"])
def test_pages_and_what_is_packed_already_are_not(cook: Browser, path: str) -> None:
    assert "Content-Encoding" not in cook.client.get(path, headers={"Accept-Encoding": "gzip"}).headers


def test_what_the_browser_has_already_is_not_sent_again(cook: Browser) -> None:
    first = cook.client.get("/static/pad.js", headers={"Accept-Encoding": "gzip"})
    asked = {"Accept-Encoding": "gzip", "If-None-Match": first.headers["ETag"]}
    again = cook.client.get("/static/pad.js", headers=asked)
    assert (again.status_code, again.data) == (304, b"")
