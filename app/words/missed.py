"""Checks that were missed, by the rule that asks for them."""

from .marking import N_, say

_CHECKS = {
    "hold.check_interval": N_("Hot-holding checks"),
    "probe.check_due": N_("Probe checks"),
}


def missed_word(rule: str) -> str:
    """Give the word for the checks that a rule asks for."""
    return say(_CHECKS, rule)
