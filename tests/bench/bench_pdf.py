"""How long a busy day's PDF takes, against WeasyPrint alone on the same HTML in the same run.

Run: python -m tests.bench.bench_pdf
"""

import time
from collections.abc import Callable

import weasyprint

from app import create_app, logs
from app.logs.paper.pdf import STYLE, sheets
from app.rules.day import shown
from tests.support import busy_day, paper_days
from tests.support.set_up import assess

ENTRIES, ROUNDS = 400, 3
HEAD = (ENTRIES, "0" * 64)


def main() -> None:
    """Print the ratio that the README quotes."""
    day = assess(
        busy_day.DAY, busy_day.entries(ENTRIES), site=busy_day.SITE, plans=[busy_day.ADOPTED], as_of=busy_day.AS_OF
    )
    app = create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "for measuring only"})
    with app.app_context():
        _report(day)


def _report(day: shown.Assessment) -> None:
    records = paper_days.records(day)
    html = logs.log_html(day, head=HEAD)

    def alone() -> object:
        return weasyprint.HTML(string=html).write_pdf(**sheets((STYLE,)))

    def ours() -> object:
        return logs.write_log(day, head=HEAD, records=records)

    alone()
    pairs = [(_seconds(ours), _seconds(alone)) for _ in range(ROUNDS)]
    taken, bare = min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)
    pages = len(weasyprint.HTML(string=html).render(**sheets((STYLE,))).pages)
    what = f"PDF of {len(day.entries)} entries, {pages} pages"
    print(f"{what}: {taken:.2f} s, {taken / bare:.2f} times WeasyPrint alone (at most 1.3)")


def _seconds(action: Callable[[], object]) -> float:
    start = time.process_time()
    action()
    return time.process_time() - start


if __name__ == "__main__":
    main()
