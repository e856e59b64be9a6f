"""What the readings of a bird add up to, in words: for information beside a load, never a verdict."""

from collections.abc import Sequence
from decimal import Decimal

from flask_babel import gettext as _

from app.kinds import CookReading
from app.rules.day.subjects_shown import LoadView
from app.rules.forecasts.bird_series import by_bird_and_place
from app.rules.lethality import tables as lethality

_LETHALITY_FROM = 3
"""Readings of one bird at one place from which its lethality is shown."""
_STANDARD_LOGS = 7
"""9 CFR 381.150(a)(1): the reduction of Salmonella that cooked poultry is held to."""


def lethality_lines(view: LoadView) -> list[str]:
    """Give, for information, what the readings of a bird add up to by the published tables and by the integral."""
    lines = []
    for spit in view.spits:
        for (bird, _place), entries in by_bird_and_place(spit.readings).items():
            if len(entries) >= _LETHALITY_FROM:
                lines.append(_lethality_line(spit.spit, bird, entries))
    return lines


def _lethality_line(spit: int, bird: int, entries: Sequence[CookReading]) -> str:
    record = [(entry.observed_at, entry.reading) for entry in entries]
    row = lethality.best_row(lethality.rows_shown(record, species=lethality.Species.CHICKEN))
    kinetics = lethality.published_kinetics()[0]
    values = {
        "spit": spit,
        "bird": bird,
        "logs": _logs(lethality.log_reduction(record, kinetics)),
        "table": _table_words(row),
        "source": kinetics.source,
    }
    said = _(
        "For information, not a verdict: spit %(spit)s, bird %(bird)s. %(table)s Its readings add up to "
        "%(logs)s tenfold reductions of Salmonella (%(source)s).",
        **values,
    )
    return str(said)


def _logs(reduction: float) -> str:
    # Beyond the seven that the performance standard asks for, the figure says more than anybody measured.
    return str(_("over 7")) if reduction > _STANDARD_LOGS else f"{reduction:.1f}"


def _table_words(row: lethality.RowShown | None) -> str:
    if row is None:
        return str(_("No reading reaches a row of the FSIS 2021 chicken table."))
    values = {"row": row.temperature_f, "shown": round(row.shown_s or Decimal(0)), "asked": row.required_s}
    if row.met and not row.required_s:
        return str(_("A reading reaches %(row)s °F. There the FSIS 2021 chicken table asks for no time.", **values))
    if row.met:
        return str(
            _("The FSIS 2021 chicken table asks for %(asked)s s at %(row)s °F: %(shown)s s are shown.", **values)
        )
    return str(_("Of the FSIS 2021 chicken table's %(asked)s s at %(row)s °F, %(shown)s s are shown.", **values))
