"""How many workers the tests run on, and where they keep their files."""

import os
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.support import memory
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


@pytest.mark.parametrize(
    ("free", "flags", "is_taken"),
    [(2**30, 0, True), (2**30 - 1, 0, False), (2**30, os.ST_NOEXEC, False)],
    ids=["enough", "too little", "no program may run there"],
)
def test_files_lie_in_memory_where_there_is_enough(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, free: int, flags: int, is_taken: bool
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: SimpleNamespace(free=free))
    monkeypatch.setattr(os, "statvfs", lambda _folder: SimpleNamespace(f_flag=flags))
    assert memory.place(str(tmp_path)) == (str(tmp_path) if is_taken else None)


def test_where_there_is_no_such_folder_files_lie_on_a_disk(tmp_path: Path) -> None:
    assert memory.place(str(tmp_path / "none")) is None
