"""How long a busy day's PDF takes, against WeasyPrint alone on the same HTML in the same run.

Both are the processor's time. WeasyPrint alone writes an untagged PDF without attachments; ours makes the HTML, too,
and PDF/A-3a with the records in it.

Run: python -m tests.bench.bench_pdf
"""

import gc
import time
from collections.abc import Callable
from statistics import median

import weasyprint

from app import create_app, logs
from app.logs.paper.pdf import STYLE, sheets
from app.rules.day import shown
from tests.support import busy_day, paper_days
from tests.support.set_up import assess

ENTRIES, ROUNDS, MOST = 400, 7, 1.3
HEAD = (ENTRIES, "0" * 64)


def main() -> int:
    """Print the ratio that the README quotes, the median of its rounds; 1 where it is more than it may be."""
    day = assess(
        busy_day.DAY, busy_day.entries(ENTRIES), site=busy_day.SITE, plans=[busy_day.ADOPTED], as_of=busy_day.AS_OF
    )
    app = create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "for measuring only"})
    with app.app_context():
        is_over = _report(day)
        _report_ordinary()
        return is_over


def _report(day: shown.Assessment) -> int:
    records = paper_days.records(day)
    html = logs.log_html(day, head=HEAD)

    def alone() -> object:
        return weasyprint.HTML(string=html).write_pdf(**sheets((STYLE,)))

    def ours() -> object:
        return logs.write_log(day, head=HEAD, records=records)

    pages = len(weasyprint.HTML(string=html).render(**sheets((STYLE,))).pages)
    ours()
    pairs = [(_seconds(ours), _seconds(alone)) for _ in range(ROUNDS)]
    taken, ratio = min(pair[0] for pair in pairs), median(ours_s / alone_s for ours_s, alone_s in pairs)
    what = f"PDF of {len(day.entries)} entries, {pages} pages"
    print(f"{what}: {taken:.2f} s, {ratio:.2f} times WeasyPrint alone (at most {MOST})")
    return int(ratio > MOST)


def _report_ordinary() -> None:
    day = paper_days.ordinary()
    records = paper_days.records(day)
    taken = min(_seconds(lambda: logs.write_log(day, head=HEAD, records=records)) for _ in range(ROUNDS))
    print(f"PDF of an ordinary day of nine loads, {len(day.entries)} entries: {taken:.2f} s")


def _seconds(action: Callable[[], object]) -> float:
    gc.collect()  # neither pays for what the other left behind
    start = time.process_time()
    action()
    return time.process_time() - start


if __name__ == "__main__":
    raise SystemExit(main())
