"""How many examples a property draws."""

from hypothesis import settings

_ORDINARY = 40
"""What the everyday profile draws of a property that says nothing."""


def examples(number: int) -> settings:
    """Draw `number` examples in the everyday run, and as many more of them as another profile draws of the others."""
    return settings(max_examples=max(1, number * settings.default.max_examples // _ORDINARY))
