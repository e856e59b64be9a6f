"""Time stamps (RFC 3161): a service outside the house says that some bytes were there at a moment."""

import hashlib
from typing import TYPE_CHECKING
from urllib.request import Request, urlopen

from .apart import run_apart

if TYPE_CHECKING:
    from asn1crypto.cms import ContentInfo
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

        async def async_timestamp(self, message_digest: bytes, md_algorithm: str) -> "ContentInfo":
            try:
                return await super().async_timestamp(message_digest, md_algorithm)
            except (ValueError, TypeError, KeyError) as error:
                raise OSError(f"the answer is no time stamp: {error}") from error

    return _ByHttp()  # type: ignore[no-untyped-call]  # pyHanko leaves it without types


def stamp(url: str, content: bytes) -> bytes:
    """Give the service's token (DER) for some bytes. Raises OSError where it gives none."""
    import asyncio

    stamper = time_stamper(url)
    if stamper is None:
        raise OSError("there is no time-stamp service")
    token = run_apart(asyncio.run, stamper.async_timestamp(hashlib.sha256(content).digest(), "sha256"))
    dumped: bytes = token.dump()
    return dumped


def imprint_of(token: bytes) -> bytes | None:
    """Give the SHA-256 of what a token stamps, if the token itself is unchanged since its service signed it; else None.

    Who the service is and whether it is trusted is for the reader to judge: its certificate is in the token.
    """
    import asyncio

    from asn1crypto.cms import ContentInfo
    from pyhanko.sign.validation.generic_cms import validate_tst_signed_data
    from pyhanko_certvalidator import ValidationContext

    try:
        signed = ContentInfo.load(token)["content"]
        about = signed["encap_content_info"]["content"].parsed
        imprint: bytes = about["message_imprint"]["hashed_message"].native
        trusted = ValidationContext(
            trust_roots=[one.chosen for one in signed["certificates"]],
            allow_fetching=False,
            moment=about["gen_time"].native,
        )
        status = run_apart(asyncio.run, validate_tst_signed_data(signed, trusted, lambda _: imprint))
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
    return imprint if status["intact"] and status["valid"] else None


def _ask(url: str, query: bytes) -> bytes:
    headers = {"Content-Type": "application/timestamp-query", "Accept": "application/timestamp-reply"}
    request = Request(url, data=query, headers=headers)  # noqa: S310  # settings take http and https alone
    with urlopen(request, timeout=_PATIENCE_S) as answer:  # noqa: S310  # the same
        content: bytes = answer.read(_LARGEST_ANSWER)
    return content
