"""A server is killed a hundred times while entries are written: nothing acknowledged is lost, and the chain is whole.

Run: python -m tests.bench.bench_kills [TIMES]
"""

import sys
import tempfile
from pathlib import Path

from tests.support.killed import kill_under_load

TIMES = 100


def main() -> None:
    """Print how many entries came through; ends with an error where one did not."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else TIMES
    with tempfile.TemporaryDirectory() as folder:
        acknowledged, kept = kill_under_load(Path(folder), times=times)
    print(f"killed {times} times: {acknowledged} entries acknowledged, none lost, {kept} kept, chain and tables whole")


if __name__ == "__main__":
    main()
