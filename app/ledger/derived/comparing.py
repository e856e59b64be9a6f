"""Comparing everything that is kept beside the ledger with the ledger itself."""

import hashlib
from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app import models
from app.db import Base
from app.kinds import PlanAdopted

from .. import register
from ..figures import day_figures
from ..figures.day_figures_text import details_text, sums_text
from ..rebuilding import fill_index, rebuild_index
from ..register_entries import read_register
from . import register_tables, shadow
from .register_tables import Difference


def compare(session: Session, code: str, *, at: datetime) -> Iterator[Difference]:
    """Name what the tables of the register, the index, the spans and the kept figures have otherwise than the ledger.

    Nothing is changed; the session must be one that is not committed. Raises LookupError for no such site.
    """
    row = register.get_site_row(session, code)
    yield from compare_register(session, code)
    yield from _compare_figures(session, code, at)
    schema = shadow.cover(session.connection())
    fill_index(session, code, at=at)
    yield from shadow.differences(session, row.id, schema)
    session.rollback()


def of_no_site(session: Session) -> list[str]:
    """Name the tables with rows of a site that is not there: whoever removed its own row hid all the others with it."""
    sites = select(models.Site.id)
    tables = (table for table in Base.metadata.tables.values() if "site_id" in table.columns)
    return sorted(
        table.name
        for table in tables
        if session.execute(select(table.c.site_id).where(table.c.site_id.not_in(sites)).limit(1)).first()
    )


def compare_register(session: Session, code: str) -> Iterator[Difference]:
    """Name what the tables of the register have otherwise than its entries tell."""
    row = register.get_site_row(session, code)
    expected = register_tables.rows_of(read_register(session, row))
    if not expected:
        yield Difference("sites", "", "not in the ledger: run upgrade")
        return
    yield from register_tables.differences(expected, register_tables.kept_rows(session, row.id))
    yield from _compare_plan_files(session, row)


def _compare_plan_files(session: Session, row: register.SiteRow) -> Iterator[Difference]:
    """Name the files of plans whose bytes are gone, or are not those of the digest that the adoption says."""
    adoptions = (entry for entry in read_register(session, row) if isinstance(entry, PlanAdopted))
    for digest in dict.fromkeys(digest for entry in adoptions for digest in entry.attachments or ()):
        kept = session.get(models.PlanFile, (row.id, digest))
        if kept is None:
            yield Difference("plan_files", digest, "missing")
        elif hashlib.sha256(kept.content).hexdigest() != digest:
            yield Difference("plan_files", digest, "content")


def rebuild(session: Session, code: str, *, at: datetime) -> None:
    """Make everything that is kept beside a site's ledger anew. The session must come from Database.writing()."""
    _make_register_anew(session, code)
    rebuild_index(session, code, at=at)


def _make_register_anew(session: Session, code: str) -> None:
    row = register.get_site_row(session, code, lock=True)
    expected = register_tables.rows_of(read_register(session, row))
    if expected:  # a database from before the register was in the ledger keeps its tables until it is upgraded
        register_tables.make_anew(session, row.id, expected)


def _compare_figures(session: Session, code: str, at: datetime) -> Iterator[Difference]:
    """Make each day's figures anew that would be believed."""
    kept = {one.day: one for one in session.scalars(_kept(session, code))}
    if not kept:
        return
    read = day_figures.kept_days(session, code, min(kept), max(kept), as_of=at)
    made = {one.day: one for one in day_figures.days_made_anew(session, code, read, as_of=at)}
    for day in sorted(read):
        if (sums_text(made[day]), details_text(made[day])) != (kept[day].sums, kept[day].details):
            yield Difference("day_figures", day.isoformat(), "changed")


def _kept(session: Session, code: str) -> Select[models.KeptFigures]:
    row = register.get_site_row(session, code)
    return select(models.KeptFigures).where(models.KeptFigures.site_id == row.id)
