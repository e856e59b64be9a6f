"""The clock: nothing else in the program asks what time it is."""

import time
from datetime import UTC, datetime


def utc_now() -> datetime:
    """Give this moment in UTC, to the millisecond, as the ledger keeps it."""
    now = datetime.now(UTC)
    return now.replace(microsecond=now.microsecond // 1000 * 1000)


def running_s() -> float:
    """Give seconds since some moment, for how long something takes: putting the clock right does not change them."""
    return time.monotonic()
