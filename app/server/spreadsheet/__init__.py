"""Records as tables for a spreadsheet: one file a table, for a period, a row at a time."""

from .cells import FEW, MANY, csv_lines
from .tables import TABLES, Span, rows_of

__all__ = ["FEW", "MANY", "TABLES", "Span", "csv_lines", "rows_of"]
