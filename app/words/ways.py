"""Where birds go and why, and what a corrective action does with them."""

from .marking import N_, say

_TO = {
    "served": N_("served"),
    "prepared": N_("prepared (boned, salad, stock)"),
    "donated": N_("donated"),
    "discarded": N_("thrown away"),
    "chilled": N_("chilled"),
    "reheated": N_("reheated"),
    "other_tray": N_("moved to another tray"),
    "returned_to_oven": N_("returned to the oven"),
    "served_cold": N_("served cold"),
    "reheated_to_order": N_("reheated to order"),
    "returned_to_supplier": N_("returned to the supplier"),
    "other": N_("another way"),
}

_DO = {
    "served": N_("Serve"),
    "prepared": N_("Bone, or use for salad or stock"),
    "donated": N_("Donate"),
    "discarded": N_("Throw away"),
    "chilled": N_("Chill"),
    "reheated": N_("Reheat"),
    "other_tray": N_("Into another tray"),
    "returned_to_oven": N_("Back into the oven"),
    "served_cold": N_("Serve cold"),
    "reheated_to_order": N_("Reheat to order"),
}
"""What is to be done with birds: on the buttons of what is right."""

_REASONS = {
    "quality": N_("quality"),
    "end_of_day": N_("end of the day"),
    "dropped": N_("dropped"),
    "time": N_("out of time"),
    "temperature": N_("out of temperature"),
    "returned": N_("returned"),
    "other": N_("other"),
}

_DISPOSITIONS = {
    "continue_cooking": N_("continue cooking"),
    "reheat": N_("reheat"),
    "chill": N_("chill"),
    "serve_now": N_("serve now"),
    "discard": N_("throw away"),
    "already_out": N_("already sold, served or given away"),
    "reject_delivery": N_("reject the delivery"),
    "hold_for_evaluation": N_("hold for evaluation"),
    "take_probe_out_of_use": N_("take the probe out of use"),
    "search_for_foreign_body": N_("search for the foreign body"),
    "none": N_("nothing done to the food"),
}


def to_word(to: str) -> str:
    """Give the word for where birds went."""
    return say(_TO, to)


def do_word(to: str) -> str:
    """Give the words of the button that sends birds a way."""
    return say(_DO, to)


def reason_word(reason: str) -> str:
    """Give the word for why birds were discarded."""
    return say(_REASONS, reason)


def disposition_word(disposition: str) -> str:
    """Give the word for what was done with the food in a corrective action."""
    return say(_DISPOSITIONS, disposition)
