"""What verification looks at, on a page and on paper: a week of days, and the checks of probes over a period."""

from .calibration import Calibration, calibration
from .pdf import write_calibration, write_week
from .week import WeekView, week_view

__all__ = ["Calibration", "WeekView", "calibration", "week_view", "write_calibration", "write_week"]
