"""The database: column types, the two kinds of transaction, and statements that are compiled once."""

from .columns import EPOCH, Base, Instant, milliseconds, moment
from .statements import Prepared, Result, Source, among, chunks, connection_of, insert_all, run_by_driver
from .transactions import Database, read_only

__all__ = [
    "EPOCH",
    "Base",
    "Database",
    "Instant",
    "Prepared",
    "Result",
    "Source",
    "among",
    "chunks",
    "connection_of",
    "insert_all",
    "milliseconds",
    "moment",
    "read_only",
    "run_by_driver",
]
