"""The clock: nothing else in the program asks what time it is."""

from datetime import UTC, datetime


def utc_now() -> datetime:
    """Give this moment in UTC, to the millisecond, as the ledger keeps it."""
    now = datetime.now(UTC)
    return now.replace(microsecond=now.microsecond // 1000 * 1000)
