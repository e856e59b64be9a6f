"""A day with entries of any kind (Hypothesis): food that goes anywhere, what is answered and signed, and all else."""

from dataclasses import replace
from typing import Any, NamedTuple

from hypothesis import strategies as st

from app.kinds import KINDS, Entry
from app.rules.day.judge import judge
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.facts import Finding
from app.rules.plans import plan
from app.rules.plans.limits import GROUPS
from tests.support import set_up
from tests.support.any_day import HOLD, LONGEST, OPENED, Story, days
from tests.support.any_food import foods
from tests.support.cast import DAY, minutes

AS_OF = OPENED + minutes(LONGEST) + 10 * minutes(24 * 60)
"""Late enough for every rule: what is left in a batch is past its date."""

_ALL_GROUPS = (("controls", ",".join(GROUPS)),)
_CODES = (("us_food_code_2022",), ("anz_3_2_2",), ("us_food_code_2022", "anz_3_2_2"), ("anz_3_2_2", "scotland_2006"))
"""The codes of a kitchen's plans: the second is adopted while the day runs."""
_DISPOSITIONS = ("discard", "continue_cooking", "reheat", "chill", "hold_for_evaluation", "none", "serve_now")
_ONLY_WITH_OTHERS = ("load_started", "spit_loaded", "corrective_action", "release", "action_verified", "week_sign_off")


class Records(NamedTuple):
    """What was written down, and how the kitchen was set up meanwhile."""

    entries: list[Entry]
    calendar: RegisterCalendar

    def findings(self, entries: list[Entry]) -> dict[str, list[Finding]]:
        """Give what is found in other entries of the same kitchen, by rule."""
        found: dict[str, list[Finding]] = {}
        report = judge(entries, calendar=self.calendar, as_of=AS_OF, day=DAY).report
        for finding in sorted(report.findings, key=lambda finding: finding.key):
            found.setdefault(finding.rule, []).append(finding)
        return found


@st.composite
def records(draw: Any) -> Records:
    """A drawn day with entries of every kind beside it, and answers to some of what is found in it."""
    story = Story(draw)
    story.day = [replace(one, seq=seq) for seq, one in enumerate(draw(st.one_of(days(), foods())), start=1)]
    kept = Records(story.day, _set_up(story.one_of(*_CODES)))
    if story.one_of(True, False):
        story.day[:] = [replace(one, late=True) for one in story.day]
    _trays(story)
    for kind in sorted(KINDS.keys() - {one.KIND for one in story.day} - set(_ONLY_WITH_OTHERS)):
        if story.draw(st.integers(0, 3)) == 0:
            story.put(kind, story.after(OPENED, LONGEST))
    _answers(story, sorted(one.key for found in kept.findings(story.day).values() for one in found))
    return kept


def _set_up(codes: tuple[str, ...]) -> RegisterCalendar:
    adopted_at = (OPENED - minutes(1000), OPENED + minutes(150))
    numbered = enumerate(zip(codes, adopted_at, strict=False), start=1)
    return set_up.calendar(
        plans=[plan.Adopted(version, code, _ALL_GROUPS, "pat", at) for version, (code, at) in numbered]
    )


def _trays(story: Story) -> None:
    """Read some trays again, and hold some by time alone."""
    trays = sorted({tray for one in story.day if (tray := getattr(one, "tray", None))})
    for kind, own in (("time_control_started", {}), ("hold_reading", {"temperature": story.one_of(*HOLD)})):
        if trays and story.one_of(True, False):
            story.put(kind, story.after(OPENED, LONGEST), tray=story.one_of(*trays), **own)


def _answers(story: Story, keys: list[str]) -> None:
    for _ in range(story.draw(st.integers(0, 3)) if keys else 0):
        some = story.draw(st.lists(st.sampled_from(keys), min_size=1, max_size=3, unique=True))
        at = story.after(OPENED, LONGEST)
        story.put("corrective_action", at, findings=some, disposition=story.one_of(*_DISPOSITIONS))
        if story.one_of(True, False):
            story.put("release", story.after(at, 60), findings=some[:1])
        story.put("action_verified", story.after(at, 60), findings=some)
