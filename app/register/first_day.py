"""The steps of a new kitchen's first day that somebody skipped: a list to work off, no record."""

from app.models import Site


def skipped_steps(site: Site) -> frozenset[str]:
    """Give the steps that were skipped."""
    return frozenset((site.skipped or "").split())


def skip_step(site: Site, name: str) -> None:
    """Skip a step: the list asks for it no more."""
    site.skipped = " ".join(sorted(skipped_steps(site) | {name}))


def take_up_step(site: Site, name: str) -> None:
    """Ask for a step again that was skipped."""
    site.skipped = " ".join(sorted(skipped_steps(site) - {name})) or None
