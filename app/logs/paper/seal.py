"""What a signed log says of its own signature: the head that was signed, also as a QR code, and the certificate."""

from dataclasses import dataclass

from markupsafe import Markup

from app import words
from app.rules.day.shown import Assessment
from app.words.marking import gettext as _


@dataclass(frozen=True, slots=True, kw_only=True)
class SealView:
    """The end of a signed log. `code` is drawn; it holds the same as `code_says`."""

    head: str
    certificate: str
    code: Markup
    code_says: str


def seal_view(assessment: Assessment, *, head: tuple[int, str], certificate: str) -> SealView:
    """Write the end of a signed log; `head` is the signed one, `certificate` the fingerprint of the certificate."""
    says = head_code(assessment.site.code, assessment.day.isoformat(), head)
    return SealView(
        head=_("no. %(seq)s, %(hash)s", seq=head[0], hash=words.fingerprint(head[1])),
        certificate=words.fingerprint(certificate),
        code=_drawn(says),
        code_says=says,
    )


def head_code(site: str, day: str, head: tuple[int, str]) -> str:
    """Give what the QR code of a signed head says: kitchen, day, number, hash. In capitals the code has fewer dots."""
    return f"{site} {day} {head[0]} {head[1].upper()}"


def _drawn(text: str) -> Markup:
    import segno

    code = segno.make(text, error="m", micro=False)
    about = {"title": _("QR code of the signed head"), "svgclass": "head-code", "lineclass": None}
    return Markup(code.svg_inline(border=4, omitsize=True, **about))  # noqa: S704  # drawn here, of squares alone
