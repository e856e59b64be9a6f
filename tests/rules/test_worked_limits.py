"""Limits of every code as printed in each unit: at the limit, a tenth beside it, and where conversion would differ.

The Food Code prints rounded °C beside its °F: 165 °F is 73.889 °C and 74 °C is 165.2 °F. A reading is held to the value
of its own unit, so that one and the same temperature may be good on one display and not on another.
"""

import pytest

from app.kinds import Temperature
from app.rules.plans import plan
from tests.support.cast import OPENED, entry
from tests.support.story import checked, hot_tray, loaded, out, probed, read, told, verdict_of

US, US_2013, ANZ, UK, CANADA = "us_food_code_2022", "us_food_code_2013", "anz_3_2_2", "uk_2013", "ca_whole_bird"


def under(code, entries, as_of="20:00"):
    """Assess entries under a code as it stands."""
    return told(entries, as_of=as_of, plans=[plan.Adopted(1, code, (), "pat", OPENED)])


# Computed from the printed pairs of the FDA Food Code 2022: label, reading, what it would be in the other unit.
TRAPS = [
    ("cook: 73.9 °C is 165.02 °F", "cook", ("73.9", "C"), ("165.02", "F"), ("not_met", "met")),
    ("hold: 57.1 °C is 134.78 °F", "hold", ("57.1", "C"), ("134.78", "F"), ("met", "not_met")),
    ("first stage: 21.1 °C is 69.98 °F", "cool", ("21.1", "C"), ("69.98", "F"), ("not_met", "met")),
    ("cold: 5.0 °C is 41.0 °F", "cold", ("5.0", "C"), ("41.0", "F"), ("met", "met")),
    ("cold: 5.1 °C is 41.18 °F", "cold", ("5.1", "C"), ("41.18", "F"), ("not_met", "not_met")),
]


def _cook(value, unit, code):
    day = under(code, [*loaded(), *probed(value, value, unit=unit, held_s=120), entry("spit_pulled", at="10:36")])
    return str(day.loads[0].spits[0].verdict)


def _hold(value, unit, code):
    found = verdict_of(under(code, [*hot_tray(), read(value, "11:30", unit)], as_of="11:31"), "hold.temperature")
    return "met" if found == "none" else found


def _cool(value, unit, code):
    reading = entry("cooling_reading", at="12:30", temperature=value, unit=unit)
    batch = under(code, [*hot_tray(), out("5", "10:40", "chilled", batch="A-B1"), reading]).batches[0]
    return str(batch.first_stage.verdict)


def _cold(value, unit, code):
    found = verdict_of(under(code, [checked(value, "11:00", of="food", unit=unit)]), "cold.temperature")
    return "met" if found == "none" else found


def _receive(value, unit, code):
    found = verdict_of(
        under(code, [entry("receiving", at="09:00", temperature=value, unit=unit)]), "receive.temperature"
    )
    return "met" if found == "none" else found


def _reheat(value, unit, code):
    entries = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1"), entry("reheat_started", at="15:00", birds="5")]
    entries += [entry("reheat_reading", at="16:00", temperature=value, unit=unit, held_s=120)]
    found = verdict_of(under(code, [*entries, entry("reheat_done", at="16:05", birds="5")]), "reheat.temperature")
    return "met" if found == "none" else found


READ = {"cook": _cook, "hold": _hold, "cool": _cool, "cold": _cold, "receive": _receive, "reheat": _reheat}


@pytest.mark.parametrize(("where", "one", "other", "verdicts"), [c[1:] for c in TRAPS], ids=[c[0] for c in TRAPS])
def test_a_reading_is_held_to_the_limit_printed_in_its_own_unit(where, one, other, verdicts):
    assert abs(Temperature(*_exact(one)).celsius - Temperature(*_exact(other)).celsius) < 0.001
    assert (READ[where](*one, US), READ[where](*other, US)) == verdicts


def _exact(reading):
    return entry("hold_reading", at="12:00", temperature=reading[0]).reading.value, reading[1]


# The code, its section, what is read, its unit; the value that is good and the one beside it that is not.
LIMITS = [
    (US, "FDA Food Code 2022, 3-401.11(A)(3)", "cook", "F", "165", "164.9"),
    (US, "FDA Food Code 2022, 3-401.11(A)(3)", "cook", "C", "74", "73.9"),
    (US, "FDA Food Code 2022, 3-501.16(A)(1)", "hold", "F", "135", "134.9"),
    (US, "FDA Food Code 2022, 3-501.16(A)(1)", "hold", "C", "57", "56.9"),
    (US, "FDA Food Code 2022, 3-501.14(A)(1)", "cool", "F", "70", "70.1"),
    (US, "FDA Food Code 2022, 3-501.14(A)(1)", "cool", "C", "21", "21.1"),
    (US, "FDA Food Code 2022, 3-501.16(A)(2)", "cold", "F", "41", "41.1"),
    (US, "FDA Food Code 2022, 3-501.16(A)(2)", "cold", "C", "5", "5.1"),
    (US, "FDA Food Code 2022, 3-202.11(A)", "receive", "F", "41", "41.1"),
    (US, "FDA Food Code 2022, 3-202.11(A)", "receive", "C", "5", "5.1"),
    (US, "FDA Food Code 2022, 3-403.11(A)", "reheat", "F", "165", "164.9"),
    (US, "FDA Food Code 2022, 3-403.11(A)", "reheat", "C", "74", "73.9"),
    (US_2013, "FDA Food Code 2013, 3-501.16(A)(1)", "hold", "F", "135", "134.9"),
    (US_2013, "FDA Food Code 2013, 3-403.11(A)", "reheat", "F", "165", "164.9"),
    (ANZ, "Standard 3.2.2, clauses 1 and 8", "hold", "C", "60", "59.9"),
    (ANZ, "Standard 3.2.2, clause 7(3)", "cool", "C", "21", "21.1"),
    (ANZ, "Standard 3.2.2, clauses 1 and 6", "cold", "C", "5", "5.1"),
    (ANZ, "Standard 3.2.2, clauses 1 and 5", "receive", "C", "5", "5.1"),
    (ANZ, "Standard 3.2.2, clause 7(4)", "reheat", "C", "60", "59.9"),
    (UK, "SI 2013/2996, Schedule 4, paragraph 6", "hold", "C", "63", "62.9"),
    (UK, "SI 2013/2996, Schedule 4, paragraph 2", "cold", "C", "8", "8.1"),
    (UK, "SI 2013/2996, Schedule 4, paragraph 2", "receive", "C", "8", "8.1"),
    (CANADA, "Health Canada, internal cooking temperatures", "cook", "C", "82", "81.9"),
    (CANADA, "Durham Region (Ontario) chart, 2012", "hold", "C", "60", "59.9"),
    (CANADA, "Durham Region (Ontario) chart, 2012", "cold", "C", "4", "4.1"),
    (CANADA, "Durham Region (Ontario) chart, 2012", "reheat", "C", "74", "73.9"),
]


@pytest.mark.parametrize(
    ("code", "source", "where", "unit", "good", "bad"), LIMITS, ids=[f"{c[0]}: {c[2]}, °{c[3]}" for c in LIMITS]
)
def test_at_the_limit_and_a_tenth_beside_it(code, source, where, unit, good, bad):
    verdicts = READ[where](good, unit, code), READ[where](bad, unit, code)
    assert verdicts == ("met", "not_met"), source
