"""Where tests keep files and databases that nobody needs after them: in memory, where no disk is waited for."""

import os
import shutil
from pathlib import Path

_LEAST_FREE = 2**30
"""Bytes: more than the files of every worker at a time, with a database server's."""


def place(memory: str = "/dev/shm") -> str | None:
    """Give the folder in memory, or None where there is too little of it or no program may run in it.

    It is short: a socket's path has at most 107 characters.
    """
    if not Path(memory).is_dir() or not os.access(memory, os.W_OK) or shutil.disk_usage(memory).free < _LEAST_FREE:
        return None
    return None if os.statvfs(memory).f_flag & os.ST_NOEXEC else memory
