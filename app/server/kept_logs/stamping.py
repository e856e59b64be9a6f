"""Time stamps (RFC 3161): a service outside the house says that some bytes were there at a moment."""

import hashlib
from typing import TYPE_CHECKING
from urllib.request import Request, urlopen

if TYPE_CHECKING:
    from asn1crypto.tsp import TimeStampReq, TimeStampResp
    from pyhanko.sign.timestamps import TimeStamper

_PATIENCE_S = 10
_LARGEST_ANSWER = 64 * 1024
"""Bytes; a token with its certificates has a few thousand."""


def time_stamper(url: str) -> "TimeStamper | None":
    """Give what asks the service of a URL; None where the URL is empty."""
    if not url:
        return None
    # Imported here, with pyHanko.
    from asn1crypto.tsp import TimeStampResp
    from pyhanko.sign.timestamps import TimeStamper

    class _ByHttp(TimeStamper):
        async def async_request_tsa_response(self, req: "TimeStampReq") -> "TimeStampResp":
            return TimeStampResp.load(_ask(url, req.dump()))

    return _ByHttp()  # type: ignore[no-untyped-call]


def stamp(url: str, content: bytes) -> bytes:
    """Give the service's token (DER) for some bytes. Raises OSError where it gives none."""
    import asyncio

    stamper = time_stamper(url)
    if stamper is None:
        raise OSError("there is no time-stamp service")
    try:
        token = asyncio.run(stamper.async_timestamp(hashlib.sha256(content).digest(), "sha256"))
    except ValueError as error:
        raise OSError(f"the answer is no time stamp: {error}") from error
    dumped: bytes = token.dump()
    return dumped


def _ask(url: str, query: bytes) -> bytes:
    headers = {"Content-Type": "application/timestamp-query", "Accept": "application/timestamp-reply"}
    request = Request(url, data=query, headers=headers)  # noqa: S310  # settings take http and https alone
    with urlopen(request, timeout=_PATIENCE_S) as answer:  # noqa: S310
        content: bytes = answer.read(_LARGEST_ANSWER)
    return content
