"""How many workers run the tests: one for each core that this process may use."""

import os
from math import floor
from pathlib import Path


def count_cores(groups: Path = Path("/sys/fs/cgroup")) -> int:
    """Give the cores that the scheduler lets this process use at once; a container may have fewer than the machine."""
    cores = len(os.sched_getaffinity(0))
    return max(1, min(cores, floor(_quota(groups) or cores)))


def _quota(groups: Path) -> float | None:
    """Give the cores that the control group allows, None where it sets no limit (cgroup v2, then v1)."""
    try:
        quota, period = (groups / "cpu.max").read_text("ascii").split()
    except FileNotFoundError:
        return _first_quota(groups / "cpu")
    return None if quota == "max" else int(quota) / int(period)


def _first_quota(group: Path) -> float | None:
    """Give what the first version of control groups allows; it writes no limit as -1."""
    try:
        quota, period = (int((group / f"cpu.cfs_{name}_us").read_text("ascii")) for name in ("quota", "period"))
    except FileNotFoundError:
        return None
    return None if quota < 0 else quota / period
