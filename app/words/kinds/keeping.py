"""Words of what the program keeps: the files of signed logs, and the certificates that signed them."""

from zoneinfo import ZoneInfo

from app.kinds import CertificateSet, LogKept

from .. import measures
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


@says(CertificateSet, N_("Certificate for logs"))
def _certificate_set(entry: CertificateSet, zone: ZoneInfo) -> str:
    until = _("until %(at)s", at=measures.local_date_time(entry.until, zone))
    return parts(_("fingerprint %(fingerprint)s", fingerprint=measures.fingerprint(entry.fingerprint)), until)


@says(LogKept, N_("Log kept"))
def _log_kept(entry: LogKept, zone: ZoneInfo) -> str:
    covers = _("signed up to entry no. %(seq)s", seq=entry.covers_seq)
    return parts(measures.day_words(entry.day), covers, _("file %(sha256)s", sha256=entry.sha256))
