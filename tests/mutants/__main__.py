"""Plants changes in the rules and tells which of them no test notices: `make mutants`.

What was found is kept in .mutants/ until its function or a test changes; a run that was stopped goes on where it was.
"""

import argparse
import hashlib
import json
import os
import sys
import time
from collections.abc import Sequence
from itertools import groupby
from multiprocessing import get_context
from pathlib import Path

from tests.support.workers import count_cores

from .explained import PAGE, ROOT, Outcome, explained, report
from .running import run
from .selection import Mutant, heart, sample

KEPT = ROOT / ".mutants"


def main() -> int:
    """Plant what is not known yet, for so long at most; give 1 where one lives that may not."""
    asked = _read_arguments()
    mutants = [one for one in [*heart(), *sample()] if asked.only in one.path]
    KEPT.mkdir(exist_ok=True)
    known = _known()
    wanted = [one for one in mutants if one.key not in known]
    print(f"{len(mutants)} changes, {len(wanted)} of them to be planted", flush=True)
    _plant(wanted, until=time.monotonic() + 60 * asked.minutes, workers=asked.workers or count_cores())
    known = _known()
    outcomes = [Outcome(one.change, one.line, one.in_heart, known.get(one.key)) for one in mutants]
    reasons = explained(PAGE.read_text("utf-8"))
    return report(outcomes, {change: why for change, why in reasons.items() if asked.only in f"app/{change.file}"})


def _read_arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="make mutants", description=__doc__)
    parser.add_argument("--minutes", type=float, default=60, help="how long at most")
    parser.add_argument("--workers", type=int, default=0, help="how many at once; one a core")
    parser.add_argument("--only", default="", help="only files whose path holds this")
    return parser.parse_args()


def _plant(mutants: Sequence[Mutant], *, until: float, workers: int) -> None:
    """Share the changes out to workers of their own, each with the tests of one area."""
    context = get_context("fork")
    for _area, group in groupby(mutants, key=lambda one: one.area):
        every = list(group)
        shares = [every[first::workers] for first in range(workers)]
        started = [context.Process(target=_work, args=(share, until)) for share in shares if share]
        for process in started:
            process.start()
        for process in started:
            process.join()


def _work(share: Sequence[Mutant], until: float) -> None:
    tests = _tests()
    with (KEPT / f"{os.getpid()}.jsonl").open("a", encoding="utf-8") as file:

        def tell(mutant: Mutant, noticed_by: str | None) -> None:
            line = {"key": mutant.key, "dead": noticed_by is not None, "by": noticed_by, "tests": tests}
            file.write(json.dumps(line) + "\n")
            file.flush()

        run(share, tell=tell, until=until)


def _known() -> dict[str, bool]:
    """Give by key whether a change was noticed; one that was not counts only for the tests as they are."""
    tests = _tests()
    lines = [json.loads(line) for path in KEPT.glob("*.jsonl") for line in path.read_text("utf-8").splitlines()]
    return {line["key"]: line["dead"] for line in lines if line["dead"] or line["tests"] == tests}


def _tests() -> str:
    """Give a name to the tests as they are."""
    places = ("tests/rules", "tests/ledger", "tests/support")
    paths = sorted(path for place in places for path in Path(ROOT, place).rglob("*.py"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in paths)).hexdigest()[:16]


if __name__ == "__main__":
    sys.exit(main())
