"""A process of its own that looks at one file that anybody sent: bounded in memory and time, whatever is in it.

    python check_one.py < LOG.pdf

It prints what `check_logs.check_file` gives, as JSON. A few bytes may unpack to more than a machine has, and a file
may be made to be read for ever: the system ends this process then, and not the server.
"""

import json
import resource
import sys
from dataclasses import asdict
from pathlib import Path

MEMORY = 1024 * 1024 * 1024
"""Bytes."""
PROCESSOR_S = 20


def main() -> None:
    """Look at what comes in."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_S, PROCESSOR_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    # Run as a file: behind Python's own and the libraries, so that no name here takes the place of one of theirs.
    sys.path.append(str(Path(__file__).parent))
    import check_logs  # type: ignore[import-not-found]  # beside this file

    found = asdict(check_logs.check_file("", sys.stdin.buffer.read()))
    json.dump(found, sys.stdout, default=lambda moment: moment.isoformat())


if __name__ == "__main__":
    main()
