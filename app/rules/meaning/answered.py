"""What corrective actions that were not carried out yet mean for the food of a tray, batch or reheat."""

from ..day.subjects_shown import BatchView, ReheatView, TrayView


def is_to_go(holder: TrayView | BatchView | ReheatView) -> bool:
    """Whether one of them says that it is thrown away."""
    return any(action.disposition == "discard" for action in holder.ordered)
