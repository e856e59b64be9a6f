"""A server that is killed (SIGKILL, with all its processes) while entries are written loses nothing it acknowledged.

`python -m tests.bench.bench_kills` does it a hundred times.
"""

import tempfile
from pathlib import Path

from tests.support.killed import kill_under_load

TIMES = 4


def test_nothing_acknowledged_is_lost_when_the_server_is_killed_under_load() -> None:
    with tempfile.TemporaryDirectory() as folder:  # on a disk, as a kitchen's records are
        acknowledged, kept = kill_under_load(Path(folder), times=TIMES)
    assert kept >= acknowledged > TIMES
