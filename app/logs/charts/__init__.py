"""Charts of loads, trays, batches, probes, units and trends: a drawing, a sentence, and the numbers as a table."""

from .chart import FILE_STYLE_SOURCE, ON_PAPER, ON_SCREEN, Chart, Shape, Table, in_words
from .cooking import load_chart
from .cooling import batch_chart
from .holding import tray_chart
from .probes import probe_chart
from .storage import unit_chart
from .trends import hours_chart, weeks_chart

PANELS = {"load": 1, "tray": 2, "batch": 1, "probe": 1, "unit": 2}
"""How many diagrams the chart of a subject has, one above the other."""

__all__ = [
    "FILE_STYLE_SOURCE",
    "ON_PAPER",
    "ON_SCREEN",
    "PANELS",
    "Chart",
    "Shape",
    "Table",
    "batch_chart",
    "hours_chart",
    "in_words",
    "load_chart",
    "probe_chart",
    "tray_chart",
    "unit_chart",
    "weeks_chart",
]
