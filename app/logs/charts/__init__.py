"""Charts of loads, trays, batches, probes and units: one picture for screen and paper, with its numbers as a table."""

from .cooking import load_chart
from .cooling import batch_chart
from .drawing import Chart, Table
from .holding import tray_chart
from .probes import probe_chart
from .storage import unit_chart

__all__ = ["Chart", "Table", "batch_chart", "load_chart", "probe_chart", "tray_chart", "unit_chart"]
