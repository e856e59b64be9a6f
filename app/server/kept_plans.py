"""The signed document of a version of the plan: drawn and signed outside any request, once, and kept."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from flask_babel import gettext as _
from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app import logs, register
from app.logs.plan import PlanRecord
from app.models import KeptPlan, Site

from . import get_database
from .jobs import job
from .kept_logs import sign_pdf
from .plan_asking import KEEP_PLAN
from .plan_document import read_plan


@dataclass(frozen=True, slots=True)
class Kept:
    """A kept document: since when, and its SHA-256."""

    made_at: datetime
    sha256: str
    pdf: bytes


@job(KEEP_PLAN, lane="drawing")
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
            document = {"sha256": hashlib.sha256(pdf).hexdigest(), "made_at": at, "pdf": pdf}
            about = {"version": version, "looks": len(record.looks), "kitchen": record.kitchen_digest}
            session.add(KeptPlan(site_id=site_id, **about, **document))


def find_kept(session: Session, record: PlanRecord) -> Kept | None:
    """Give the kept document of a version with all its reassessments; None where it is not made yet.

    That of the version in force says of the kitchen what is so now. An earlier version has the one that was kept last:
    it is a record of its time.
    """
    row = _row(session, record) if record.is_newest else _last(session, record)
    return Kept(row.made_at, row.sha256, row.pdf) if row else None


def printed_plan(session: Session, record: PlanRecord) -> bytes:
    """Give the signed document of a version as it was kept; until it is made, the same without a signature."""
    kept = find_kept(session, record)
    return kept.pdf if kept else logs.plan.plan_pdf(record)


def _row(session: Session, record: PlanRecord) -> KeptPlan | None:
    query = _of_version(record).where(KeptPlan.looks == len(record.looks))
    found: KeptPlan | None = session.scalar(query.where(KeptPlan.kitchen == record.kitchen_digest))
    return found


def _last(session: Session, record: PlanRecord) -> KeptPlan | None:
    query = _of_version(record).order_by(KeptPlan.made_at.desc(), KeptPlan.looks.desc()).limit(1)
    found: KeptPlan | None = session.scalar(query)
    return found


def _of_version(record: PlanRecord) -> Select[Any]:
    query = select(KeptPlan).join(Site).where(Site.code == record.site.code)
    return query.where(KeptPlan.version == record.adopted.version)
