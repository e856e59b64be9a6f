"""How long a chart takes, against the drawing library alone making the same picture in the same run.

Run: python -m tests.bench.bench_chart
"""

import time
from collections.abc import Callable
from datetime import timedelta
from io import StringIO

import matplotlib as mpl
from matplotlib.figure import Figure

from app.logs import charts
from app.rules.day import subjects_shown
from app.rules.plans import plan
from tests.support import cast
from tests.support.set_up import assess

SPITS, READINGS, ROUNDS = 4, 50, 15
LIMITS = plan.resolve(cast.ADOPTED, cast.DAY).limits
START = cast.moment("09:00")


def main() -> None:
    """Print the ratio that the README quotes."""
    load, zone = _load(), cast.site_facts().timezone

    def ours() -> object:
        chart = charts.load_chart(load, limit=LIMITS.cook_core, zone=zone)
        return chart.svg, chart.table

    ours(), _alone(load)
    pairs = [(_seconds(ours), _seconds(lambda: _alone(load))) for _ in range(ROUNDS)]
    taken, bare = min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)
    what = f"chart of {SPITS} spits with {READINGS} readings each"
    print(f"{what}: {taken * 1000:.0f} ms, {taken / bare:.2f} times matplotlib alone (at most 1.2)")


def _load() -> subjects_shown.LoadView:
    made = [cast.entry("load_started", at=START)]
    for spit in range(1, SPITS + 1):
        made.append(cast.entry("spit_loaded", at=START, spit=spit))
        for number in range(READINGS):
            at, read = START + timedelta(minutes=number + 1), str(60 + 2 * number + spit)
            made.append(cast.entry("cook_reading", at=at, spit=spit, temperature=read))
    day = assess(cast.DAY, made, site=cast.site_facts(), plans=[cast.ADOPTED], as_of=START + timedelta(hours=2))
    return day.loads[0]


def _alone(load: subjects_shown.LoadView) -> str:
    """Draw the same lines with the same library, and nothing else."""
    target = StringIO()
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "bench"}):
        figure = Figure(figsize=(7.2, 2.6))
        axes = figure.subplots()
        figure.subplots_adjust(left=0.09, right=0.87, top=0.91, bottom=0.09)
        axes.axhline(float(LIMITS.cook_core.F), color="black")
        for spit, mark in zip(load.spits, "osD^", strict=True):
            minutes = [(entry.observed_at - START).total_seconds() / 60 for entry in spit.readings]
            values = [float(entry.reading.value) for entry in spit.readings]
            axes.plot(minutes, values, color="black", marker=mark, fillstyle="none", label=f"spit {spit.spit}")
        axes.annotate("limit 165 °F", (1.01, 165), xycoords=("axes fraction", "data"), annotation_clip=False)
        axes.set_ylabel("°F")
        axes.legend(loc="lower left", frameon=False, ncols=SPITS, bbox_to_anchor=(0, 1))
        figure.savefig(target, format="svg", metadata={"Date": None})
    return target.getvalue()


def _seconds(action: Callable[[], object]) -> float:
    start = time.process_time()
    action()
    return time.process_time() - start


if __name__ == "__main__":
    main()
