"""A spit cooked on a pair of the guideline's tables, and what the day says of it."""

from tests.support.cast import entry
from tests.support.story import adopted, told

PAIR = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part"}
HUMID = (("09:10", "92"), ("10:10", "90"))
"""Sixty minutes: the cook is 96 min long, of which an hour is more than a quarter."""


def cook(*humidity, hot="152", held_s=252, **loaded):
    """A spit of two birds on a pair's plan: read cold, read on the way up, read done and held, pulled at the end."""
    read = [
        entry("cook_reading", at="09:05", temperature="40"),
        entry("cook_reading", at="10:00", temperature="135"),
        *(entry("cook_reading", at="10:31", bird=bird, temperature=hot, held_s=held_s) for bird in (1, 2)),
    ]
    return [
        entry("load_started", at="09:00"),
        entry("spit_loaded", at="09:01", birds=2, **loaded),
        *(entry("oven_setting", at=at, rotation=..., humidity=percent) for at, percent in humidity),
        *read,
        entry("spit_pulled", at="10:36", birds=2),
    ]


def judged(entries, **settings):
    (spit,) = told(entries, plans=[adopted(**{**PAIR, **settings})]).loads[0].spits
    return spit.verdict, spit.conditions.humidity, spit.conditions.come_up
