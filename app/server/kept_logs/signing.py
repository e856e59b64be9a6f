"""A PAdES signature under a PDF: ETSI EN 319 142-1, baseline B-B, or B-T where a time-stamp service is set."""

import io
from datetime import datetime
from typing import TYPE_CHECKING

from cryptography.hazmat.primitives import serialization
from flask import current_app
from flask_babel import gettext as _

from .apart import run_apart
from .certificates import Identity, identity_of
from .stamping import time_stamper

if TYPE_CHECKING:
    from asn1crypto.x509 import Certificate
    from cryptography import x509
    from pyhanko.sign.signers import SimpleSigner
    from pyhanko.sign.timestamps import TimeStamper

FIELD = "Signature"


def sign_pdf(site: str, pdf: bytes, *, at: datetime, reason: str = "") -> bytes:
    """Sign any PDF with a kitchen's certificate of that moment; the bytes given come first, unchanged.

    `reason` says what the signature is for; without it that of a day's log. The signature allows no later change
    (DocMDP 1), has no picture, and keeps a PDF/A what it is. Raises SigningRefused.
    """
    return sign_as(identity_of(site, at=at), pdf, reason=reason)


def sign_as(identity: Identity, pdf: bytes, *, reason: str = "") -> bytes:
    """Sign a PDF for a reason, or for that of a day's log.

    Where the time-stamp service does not answer, the signature goes without its time.
    """
    reason = reason or _("The records as they were when the day was signed")
    stamper = time_stamper(current_app.config["TIMESTAMP_URL"])
    if stamper is not None:
        try:
            return run_apart(_signed, identity, pdf, reason, stamper)
        except OSError as error:
            current_app.logger.warning("The time-stamp service did not stamp a log: %s", error)
    return run_apart(_signed, identity, pdf, reason, None)


def _signed(identity: Identity, pdf: bytes, reason: str, stamper: "TimeStamper | None") -> bytes:
    # Imported here: it takes a third of a second, and no page needs it.
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign.fields import InvisSigSettings, MDPPerm, SigFieldSpec, SigSeedSubFilter
    from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner

    about = PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
        reason=reason,
    )
    # PDF/A wants the widget printed and not hidden; without a box nothing is seen of it (ISO 19005-3, 6.3.2).
    field = SigFieldSpec(FIELD, invis_sig_settings=InvisSigSettings(set_print_flag=True, set_hidden_flag=False))
    signer = PdfSigner(about, _signer(identity), timestamper=stamper, new_field_spec=field)
    output = io.BytesIO()
    signer.sign_pdf(IncrementalPdfFileWriter(io.BytesIO(pdf)), output=output)
    return output.getvalue()


def _signer(identity: Identity) -> "SimpleSigner":
    from asn1crypto.keys import PrivateKeyInfo
    from pyhanko.sign.signers import SimpleSigner
    from pyhanko_certvalidator.registry import SimpleCertificateStore

    key = identity.key.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    # pyHanko leaves this one without types.
    above = SimpleCertificateStore.from_certs([_asn1(one) for one in identity.above])  # type: ignore[no-untyped-call]
    return SimpleSigner(
        signing_cert=_asn1(identity.certificate), signing_key=PrivateKeyInfo.load(key), cert_registry=above
    )


def _asn1(certificate: "x509.Certificate") -> "Certificate":
    from asn1crypto.x509 import Certificate

    loaded: Certificate = Certificate.load(certificate.public_bytes(serialization.Encoding.DER))
    return loaded
