"""How long the plan's PDF takes, against WeasyPrint alone on the same HTML in the same run.

Run: python -m tests.bench.bench_plan_pdf
"""

import gc
import time
from collections.abc import Callable
from statistics import median

import weasyprint

from app import create_app
from app.logs.paper.pdf import STYLE, sheets
from app.logs.plan import plan_document, plan_html, plan_pdf
from app.logs.plan.pdf import OWN_STYLE
from tests.support.plan_record import adopted, record

ROUNDS, MOST = 9, 1.3


def main() -> int:
    """Print the ratio that the README quotes, the median of its rounds; 1 where it is more than it may be."""
    app = create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "for measuring only"})
    with app.app_context():
        return _report()


def _report() -> int:
    plan = record(adopted(hot_holding="140F/60C"))
    html = plan_html(plan_document(plan))

    def alone() -> object:
        return weasyprint.HTML(string=html).write_pdf(**sheets((STYLE, OWN_STYLE)))

    def ours() -> object:
        return plan_pdf(plan)

    ours()
    alone()
    pairs = [(_seconds(ours), _seconds(alone)) for _ in range(ROUNDS)]
    taken, ratio = min(pair[0] for pair in pairs), median(ours_s / alone_s for ours_s, alone_s in pairs)
    print(f"PDF of the plan: {taken:.2f} s, {ratio:.2f} times WeasyPrint alone (at most {MOST})")
    return int(ratio > MOST)


def _seconds(action: Callable[[], object]) -> float:
    gc.collect()  # neither pays for what the other left behind
    start = time.process_time()
    action()
    return time.process_time() - start


if __name__ == "__main__":
    raise SystemExit(main())
