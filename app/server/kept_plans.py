"""The signed document of a version of the plan: drawn and signed outside any request, once, and kept."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from flask_babel import gettext as _
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger, logs, register
from app.logs.plan import PlanRecord
from app.models import KeptPlan, Site

from . import get_database
from .jobs import ask, job
from .kept_logs import sign_pdf
from .plan_document import read_plan


@dataclass(frozen=True, slots=True)
class Kept:
    """A kept document: since when, and its SHA-256."""

    made_at: datetime
    sha256: str
    pdf: bytes


def ask_for_document(session: Session, site: str, *, at: datetime) -> None:
    """Ask for the document of the newest version with its newest reassessment, unless it was asked for already."""
    version = ledger.read_plans(session, site)[-1].version
    looks = len(ledger.plan_reassessments(session, site, as_of=at))
    ask(session, "keep_plan", f"{site}:{version}:{looks}", {"site": site, "version": version}, at=at)


@job("keep_plan", lane="drawing")
def _keep_plan(payload: Mapping[str, Any], at: datetime) -> None:
    keep(payload["site"], payload["version"], at=at)


def keep(site: str, version: int, *, at: datetime) -> None:
    """Make, sign and keep the document of a version; where it is kept already, nothing is done.

    Drawn without the kitchen's lock. Raises LookupError for no such version, and SigningRefused.
    """
    with get_database().reading() as session:
        record = read_plan(session, site, as_of=at, version=version)
        if _row(session, record) is not None:
            return
    reason = _("The plan as it was adopted for this kitchen")
    pdf = sign_pdf(site, logs.plan.plan_pdf(record), at=at, reason=reason)
    with get_database().writing() as session:
        if _row(session, record) is None:
            site_id = register.get_site(session, site).id
            told = {"sha256": hashlib.sha256(pdf).hexdigest(), "made_at": at, "pdf": pdf}
            session.add(KeptPlan(site_id=site_id, version=version, looks=len(record.looks), **told))


def find_kept(session: Session, record: PlanRecord) -> Kept | None:
    """Give the kept document of a version with all its reassessments; None where it is not made yet."""
    row = _row(session, record)
    return Kept(row.made_at, row.sha256, row.pdf) if row else None


def _row(session: Session, record: PlanRecord) -> KeptPlan | None:
    query = select(KeptPlan).join(Site).where(Site.code == record.site.code)
    query = query.where(KeptPlan.version == record.adopted.version, KeptPlan.looks == len(record.looks))
    return session.scalar(query)
