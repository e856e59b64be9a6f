"""Checks the records of signed logs as docs/ledger-format.md tells it: no line here is the program's."""

import hashlib
import io
import json
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import rfc8785
from pypdf import PdfReader

Records = dict[str, Any]


def records_of(pdf: bytes) -> Records:
    """Give `records.json`, the attachment of a log."""
    content: Records = json.loads(PdfReader(io.BytesIO(pdf)).attachments["records.json"][0])
    return content


def own_hash(entry: dict[str, Any]) -> str:
    """Hash an entry again: the RFC 8785 form of the object without its `hash`."""
    return hashlib.sha256(rfc8785.dumps({name: entry[name] for name in entry if name != "hash"})).hexdigest()


def check(records: Records) -> list[str]:
    """Check a log by itself; give what does not hold."""
    run, head = records["run"], records["head"]
    earlier = [entry for part in records["earlier"] for entry in part["entries"]]
    attached = [*run["entries"], *earlier, records["sign_off"]]
    found = [f"hash of {entry['seq']}" for entry in attached if own_hash(entry) != entry["hash"]]
    walked = (run["after"]["seq"], run["after"]["hash"])
    if walked[0] == 0:
        begin = rfc8785.dumps({"genesis": "roast-ledger", "site": records["site"], "v": 1})
        found += [] if walked[1] == hashlib.sha256(begin).hexdigest() else ["beginning"]
    for entry in run["entries"]:
        if (entry["seq"], entry["previous_hash"]) != (walked[0] + 1, walked[1]):
            found.append(f"link of {entry['seq']}")
        walked = (entry["seq"], entry["hash"])
    found += [] if walked == (head["seq"], head["hash"]) else ["head"]
    signed = records["sign_off"]
    found += [] if (signed["covers_seq"], signed["covers_hash"]) == (head["seq"], head["hash"]) else ["sign-off"]
    return found + [f"shows {seq}" for seq in set(records["shows"]) - {entry["seq"] for entry in attached}]


def check_together(logs: Sequence[Records]) -> list[str]:
    """Check logs that follow each other; give what does not hold."""
    found = [f"join of {later['day']}" for before, later in pairwise(logs) if later["run"]["after"] != before["head"]]
    laid = {entry["seq"]: entry["hash"] for log in logs for entry in log["run"]["entries"]}
    for log in logs:
        apart = [entry for part in log["earlier"] for entry in part["entries"]]
        found += [f"earlier {entry['seq']}" for entry in apart if laid.get(entry["seq"]) != entry["hash"]]
    return found


def kept_hashes(logs: Sequence[Records]) -> dict[int, str]:
    """Give the SHA-256 of whole files that the runs tell of, by the seq of their sign-off."""
    told = [entry for log in logs for entry in log["run"]["entries"] if entry["kind"] == "log_kept"]
    return {entry["signed_seq"]: entry["sha256"] for entry in told}
