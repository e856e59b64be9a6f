"""How many workers the tests run on."""

import os
from pathlib import Path

import pytest

from tests.support.workers import count_cores

ALL = len(os.sched_getaffinity(0))


def written(groups: Path, files: dict[str, str]) -> Path:
    """Give a folder of control groups with these files."""
    for name, text in files.items():
        (groups / name).parent.mkdir(exist_ok=True)
        (groups / name).write_text(text)
    return groups


@pytest.mark.parametrize(
    ("files", "cores"),
    [
        ({}, ALL),
        ({"cpu.max": "max 100000\n"}, ALL),
        ({"cpu.max": "100000 100000\n"}, 1),
        ({"cpu.max": "50000 100000\n"}, 1),
        ({"cpu.max": "9900000 100000\n"}, ALL),
        ({"cpu/cpu.cfs_quota_us": "-1\n", "cpu/cpu.cfs_period_us": "100000\n"}, ALL),
        ({"cpu/cpu.cfs_quota_us": "150000\n", "cpu/cpu.cfs_period_us": "100000\n"}, 1),
    ],
)
def test_a_worker_a_core_that_the_group_allows(tmp_path: Path, files: dict[str, str], cores: int) -> None:
    assert count_cores(written(tmp_path, files)) == cores
