"""A disk of a few megabytes that can be filled and made read-only: a tmpfs, where this machine lets one be mounted."""

import errno
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class SmallDisk:
    """A mounted file system of its own."""

    folder: Path

    @contextmanager
    def full(self) -> Iterator[None]:
        """Leave no byte free on it."""
        filler = self.folder / "filler"
        handle = os.open(filler, os.O_WRONLY | os.O_CREAT)
        try:
            for size in (65_536, 4096, 1):
                _fill(handle, size)
            yield
        finally:
            os.close(handle)
            filler.unlink()

    @contextmanager
    def read_only(self) -> Iterator[None]:
        """Let nothing be written to it, as Linux does with a disk that fails."""
        with _read_only(self.folder):
            yield

    @contextmanager
    def read_only_file(self, name: str) -> Iterator[None]:
        """Let nobody write to a file of it, as where its permissions are wrong."""
        with _read_only(self.folder / name):
            yield


@contextmanager
def _read_only(path: Path) -> Iterator[None]:
    # What is open for writing keeps a plain remount from happening; a bind mount over it does not ask.
    subprocess.run(["mount", "--bind", path, path], check=True)
    try:
        subprocess.run(["mount", "-o", "remount,ro,bind", path], check=True)
        yield
    finally:
        subprocess.run(["umount", "--lazy", path], check=True)


@contextmanager
def mounted(folder: Path, *, megabytes: int) -> Iterator[SmallDisk]:
    """Mount one; a test is skipped where that is not allowed."""
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "roast-ledger-test", str(folder)]
    if os.geteuid() != 0 or subprocess.run(mount, check=False, capture_output=True).returncode != 0:
        pytest.skip("this machine lets nobody mount a small disk")
    try:
        yield SmallDisk(folder)
    finally:
        subprocess.run(["umount", "--lazy", folder], check=True)


def _fill(handle: int, size: int) -> None:
    try:
        while True:
            os.write(handle, b"\0" * size)
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
