"""A process of its own that writes to the ledger: `python -m tests.support.writer URL NAME POSTS [stall]`.

It posts lists of 20 notes whose ids are made from NAME and a number. With `stall` it stops for good once the rows of
its first list are written and before they are committed, and says so.
"""

import sys
import time
import uuid
from typing import Any

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING

SIZE = 20


def notes(name: str, post: int) -> list[dict[str, Any]]:
    """Give the drafts of one list."""
    ids = (uuid.uuid5(uuid.NAMESPACE_OID, f"{name} {post} {number}") for number in range(SIZE))
    return [cast.draft("note", at="12:00", id=str(own_id)) for own_id in ids]


if __name__ == "__main__":
    url, name, posts, *how = sys.argv[1:]
    database = Database(url)
    for number in range(int(posts)):
        with database.writing() as session:
            ledger.append(session, "S1", notes(name, number), by=COOK, at=EVENING)
            if how:
                print("written", flush=True)
                time.sleep(600)
