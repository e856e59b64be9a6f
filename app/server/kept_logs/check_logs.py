"""Checks signed logs of a kitchen by themselves: one PDF, or a folder of them. Needs Python and pyHanko, nothing else.

    pip install pyhanko
    python check_logs.py LOG.pdf
    python check_logs.py FOLDER --fingerprint "f51e ab33 …"      (as it hangs in the kitchen, or stands on a log)

It checks the signature under each file, the run of entries that is attached to it, and how the runs of several logs
join, and tells the day's readings again beside the limits of the plan. What it shows is that nothing was changed since
it was written, not that what was written is true. Exit code 0: nothing is wrong with what is here; 1: something is.
"""

import argparse
import hashlib
import io
import json
import logging
import re
import sys
import zlib
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

Entry = dict[str, Any]
Head = tuple[int, str]

LARGEST_RECORDS = 256 * 1024 * 1024
"""Bytes of one attachment that are looked at."""


class _PackedOtherwise(Exception):
    """An attachment is not packed as a log's is."""


@dataclass
class Log:
    """A file that was looked at: what is wrong with it by itself, what else there is to say, and what it attaches."""

    name: str
    sha256: str
    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    fingerprint: str = ""
    """SHA-256 of the certificate that it names as its signer's; empty where nobody signed it."""
    is_intact: bool = False
    """Whether that certificate's key signed the file as it is here, to its last byte. Else nothing in it is known to
    be that signer's: a certificate is public, and anybody can put one into a file."""
    signed_at: datetime | None = None
    stamped_at: datetime | None = None
    """By a time-stamp service's own clock."""
    records: dict[str, Any] = field(default_factory=dict)

    @property
    def head(self) -> Head:
        """The head that was signed."""
        return self.records["head"]["seq"], self.records["head"]["hash"]

    @property
    def run(self) -> Sequence[Entry]:
        """The entries from the head of the log before to this one's."""
        found: list[Entry] = self.records["run"]["entries"]
        return found

    @property
    def entries(self) -> Sequence[Entry]:
        """Everything that is attached."""
        earlier = [entry for part in self.records["earlier"] for entry in part["entries"]]
        signed = [self.records["sign_off"]] if "sign_off" in self.records else []
        return [*earlier, *self.run, *signed]


def check_file(name: str, content: bytes) -> Log:
    """Look at one file by itself."""
    log = Log(name, hashlib.sha256(content).hexdigest())
    try:
        _check_pdf(log, content)
    except Exception as error:  # whatever is in the file, the answer is a sentence
        log.faults.append(_unreadable(error))
    return log


def _unreadable(error: Exception) -> str:
    """Give the sentence for a file that broke its reading; libraries' own words help nobody who holds a log."""
    if isinstance(error, ImportError):
        return "It was not checked: pyHanko is missing. Install it with: pip install pyhanko"
    if isinstance(error, _PackedOtherwise):
        return "Its attachment is packed in a way that no log is."
    if isinstance(error, zlib.error):
        return "A part of it cannot be unpacked: the file is damaged, or was changed."
    if isinstance(error, (json.JSONDecodeError, UnicodeDecodeError, RecursionError)):
        return "Its attachment records.json cannot be read: it is damaged, or was changed."
    return "It cannot be read as a signed PDF: it is damaged, was changed, or is something else."


# ---- the signature --------------------------------------------------------------------------------------------------


def _check_pdf(log: Log, content: bytes) -> None:
    from pyhanko.pdf_utils.reader import PdfFileReader

    reader = PdfFileReader(io.BytesIO(content))
    signatures = reader.embedded_signatures
    if len(signatures) == 1:
        _check_signature(log, signatures[0])
    else:
        log.faults.append("Nobody signed it." if not signatures else "It has more than one signature.")
    found = _attached(reader, "records.json")
    if len(found) != 1:
        log.faults.append("It has no attachment records.json, or more than one.")
    elif len(attached := found.pop()) <= LARGEST_RECORDS:
        _take_records(log, json.loads(attached))
    else:
        log.faults.append("Its attachment is larger than this check reads.")


def _take_records(log: Log, records: Any) -> None:
    try:
        _check_form(records)
        log.faults += check_records(records)
    except (KeyError, TypeError, ValueError, AttributeError):
        log.faults.append("Its records are not in the form that a log has: fields are missing or of another kind.")
    else:
        log.records = records


def _check_signature(log: Log, signature: Any) -> None:
    from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    certificate = signature.signer_cert
    log.fingerprint, log.signed_at = certificate.sha256.hex(), signature.self_reported_timestamp
    # A kitchen's certificate is its own: it is held to the fingerprint on paper, not to a list of authorities; and to
    # the moment of signing, for a log outlives its certificate.
    trusted = ValidationContext(trust_roots=[certificate], allow_fetching=False, moment=log.signed_at)
    stamps = ValidationContext(
        trust_roots=_certificates_of_stamp(signature), allow_fetching=False, moment=log.signed_at
    )
    # It runs an event loop of its own, and a thread that runs one already refuses a second.
    with ThreadPoolExecutor(1) as threads:
        checking = threads.submit(validate_pdf_signature, signature, trusted, ts_validation_context=stamps)
        status = checking.result()
    whole = status.coverage is SignatureCoverageLevel.ENTIRE_FILE and bool(status.docmdp_ok)
    log.is_intact = status.intact and status.valid and whole
    if not log.is_intact:
        log.faults.append("It was changed after it was signed.")
    stamp = status.timestamp_validity
    if stamp is not None and not (stamp.intact and stamp.valid):
        log.faults.append("The time stamp in its signature is not that of this signature.")
    elif stamp is not None:
        log.stamped_at = stamp.timestamp


def _certificates_of_stamp(signature: Any) -> list[Any]:
    for attribute in signature.signer_info["unsigned_attrs"]:
        if attribute["type"].native == "signature_time_stamp_token":
            return [one.chosen for token in attribute["values"] for one in token["content"]["certificates"]]
    return []


def _attached(reader: Any, name: str) -> set[bytes]:
    """Give the contents of the attachments of a name, whichever way the file leads to them."""
    root = reader.root
    listed = [found.get_object() for found in root["/AF"]] if "/AF" in root else []
    if "/Names" in root and "/EmbeddedFiles" in root["/Names"]:
        tree = root["/Names"]["/EmbeddedFiles"]
        kids = [kid.get_object() for kid in tree["/Kids"]] if "/Kids" in tree else []
        for node in (tree, *kids):
            pairs = list(node["/Names"]) if "/Names" in node else []
            listed += [found.get_object() for found in pairs[1::2]]
    return {_unpacked(file["/EF"]["/F"]) for file in listed if str(file["/UF"]) == name}


def _unpacked(stream: Any) -> bytes:
    """Give the bytes of a stream, no more than one over what is looked at: a few bytes may unpack to very many."""
    packed: bytes = stream.encoded_data
    if "/Filter" not in stream:
        return packed
    if stream["/Filter"] not in ("/FlateDecode", ["/FlateDecode"]):
        raise _PackedOtherwise
    return zlib.decompressobj().decompress(packed, LARGEST_RECORDS + 1)


# ---- the records ----------------------------------------------------------------------------------------------------


def digest(thing: Any) -> str:
    """Give the SHA-256 of the RFC 8785 form: every name is ASCII, and no number is a fraction."""
    text = json.dumps(thing, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _check_form(records: Any) -> None:
    """Raise ValueError, TypeError or KeyError where records are not in the form of a log's.

    Whoever made the file chose what is in it: what is compared, searched for or printed has the type it is taken for.
    """
    if type(records["v"]) is not int or not isinstance(records["site"], str):
        raise TypeError
    if not re.fullmatch(r"[\w.-]{1,64}", records["site"]):
        raise ValueError
    date.fromisoformat(records["day"])
    log = Log("", "", records=records)
    heads = [records["head"], records["run"]["after"], *(part["proved_by"] for part in records["earlier"])]
    for one in (*heads, *log.entries):
        _check_number(one["seq"])
        if not re.fullmatch("[0-9a-f]{64}", one["hash"]):
            raise ValueError
    for seq in records["shows"]:
        _check_number(seq)
    for entry in log.entries:
        if not all(isinstance(entry[name], str) for name in ("kind", "recorded_at", "previous_hash")):
            raise TypeError


def _check_number(seq: Any) -> None:
    if type(seq) is not int or not 0 <= seq <= _HIGHEST:
        raise ValueError


_HIGHEST = 2**53
"""No higher number is exact in every program that reads JSON (RFC 8259, 6)."""


def check_records(records: dict[str, Any]) -> list[str]:
    """Say what is wrong with the records of one log by themselves."""
    if records["v"] != 1:
        return [f"Its records are of version {records['v']}, which this check does not know."]
    log = Log("", "", records=records)
    faults = [
        f"Entry {entry['seq']} is not as it was written."
        for entry in log.entries
        if digest({name: value for name, value in entry.items() if name != "hash"}) != entry["hash"]
        or entry["site"] != records["site"]
    ]
    faults += _check_run(records, log)
    attached = {entry["seq"] for entry in log.entries}
    missing = [seq for seq in records["shows"] if seq not in attached]
    if missing:
        faults.append(f"It prints entries that are not attached: {missing[:10]}.")
    return [*faults, *_check_sign_off(records)]


def _check_run(records: dict[str, Any], log: Log) -> Iterator[str]:
    after = records["run"]["after"]
    seq, before, recorded_at = after["seq"], after["hash"], ""
    # In a ledger that an older edition began, time is kept in order from its first site_set on.
    is_asked = seq > 0
    if seq == 0 and before != digest({"genesis": "roast-ledger", "site": records["site"], "v": 1}):
        yield "Its run does not begin where the chain begins."
    for entry in log.run:
        seq += 1
        if (entry["seq"], entry["previous_hash"]) != (seq, before):
            yield f"Its run is broken at entry {seq}."
            return
        if is_asked and entry["recorded_at"] < recorded_at and entry["kind"] != "clock_set":
            yield f"Time runs back at entry {seq}."
        is_asked = is_asked or entry["kind"] == "site_set"
        recorded_at, before = entry["recorded_at"], entry["hash"]
    if (seq, before) != log.head:
        yield "Its run does not end at its head."


def _check_sign_off(records: dict[str, Any]) -> Iterator[str]:
    signed = records.get("sign_off")
    if signed is None:
        yield "Nobody signed the day: it is a print that nobody vouches for."
        return
    covered = (signed["kind"], signed["day"], signed["covers_seq"], signed["covers_hash"])
    if covered != ("sign_off", records["day"], records["head"]["seq"], records["head"]["hash"]):
        yield "Its sign-off is of another day or head."


# ---- several logs ---------------------------------------------------------------------------------------------------


def check_together(logs: Sequence[Log], fingerprint: str = "") -> tuple[list[str], list[str]]:
    """Say what is wrong between logs of one kitchen, and what these files cannot show."""
    faults, notes = list(_check_certificates(logs, fingerprint)), []
    known, kept = _laid_together(logs, faults)
    for log in logs:
        after = log.records["run"]["after"]
        if known.get(after["seq"], after["hash"]) != after["hash"]:
            faults.append(f"{log.name}: its run does not join: entry {after['seq']} is another one in the other logs.")
        elif after["seq"] and after["seq"] not in known:
            notes.append(f"{log.name}: the log before it, up to entry {after['seq']}, is not here.")
        proofs = [part["proved_by"]["seq"] for part in log.records["earlier"]]
        gone = [seq for seq in proofs if seq not in known]
        notes += [f"{log.name}: the log up to entry {seq}, which proves older ones, is not here." for seq in gone]
        sha256 = kept.get(log.records.get("sign_off", {}).get("seq"))
        if sha256 is None:
            notes.append(f"{log.name}: the SHA-256 of the file is in the next log's records, which is not here.")
        elif sha256 != log.sha256:
            faults.append(f"{log.name}: its bytes are not those that were kept: the records have another SHA-256.")
    return faults, notes


def _check_certificates(logs: Sequence[Log], fingerprint: str) -> Iterator[str]:
    wanted = _written_together(fingerprint)
    if wanted:
        yield from (f"{log.name}: signed with another certificate." for log in logs if log.fingerprint != wanted)
        return
    named = {entry["fingerprint"] for log in logs for entry in log.entries if entry["kind"] == "certificate_set"}
    for log in logs:
        if named and log.fingerprint not in named:
            yield f"{log.name}: signed with a certificate that the records do not name."


def _written_together(fingerprint: str) -> str:
    return "".join(fingerprint.lower().split()).replace(":", "")


_MOST_NAMED = 5
"""After the first entry that was changed all others of a run differ, too."""


def _laid_together(logs: Iterable[Log], faults: list[str]) -> tuple[dict[int, str], dict[int, str]]:
    """Give the hash of every entry by its number, and of kept files by their sign-off's; name what differs.

    Logs without a fault come first: what a forged one says is held to them, and not they to it.
    """
    logs = sorted(logs, key=lambda log: bool(log.faults))
    known: dict[int, str] = {}
    kept: dict[int, str] = {}
    for log in logs:
        for entry in log.run:
            known.setdefault(entry["seq"], entry["hash"])
            if entry["kind"] == "log_kept":
                kept.setdefault(entry["signed_seq"], entry["sha256"])
    for log in logs:
        differing = [entry["seq"] for entry in log.entries if known.get(entry["seq"], entry["hash"]) != entry["hash"]]
        faults += [f"{log.name}: entry {seq} is another one in the other logs." for seq in differing[:_MOST_NAMED]]
        if len(differing) > _MOST_NAMED:
            faults.append(f"{log.name}: so are {len(differing) - _MOST_NAMED} more of its entries.")
    return known, kept


# ---- the day told again ---------------------------------------------------------------------------------------------

_HELD_TO = {
    "cook_reading": ("cook_core", "least"),
    "hold_reading": ("hot_holding", "least"),
    "reheat_reading": ("reheat_core", "least"),
    "hot_unit": ("hot_holding", "least"),
    "cold_unit": ("cold_holding", "most"),
    "receiving": ("receive_cold", "most"),
}
"""Which limit of the plan a reading of a kind, or of a kind of unit, stands beside."""


def retell(records: dict[str, Any]) -> list[str]:
    """Tell the day's readings again, newest versions, each beside the limit of the plan that it was under.

    While something is being heated only the reading that its end rests on is held to the limit: the last one of a
    bird's place before the spit was pulled, or of a reheat before it was done. What the day means is on the log.
    """
    log = Log("", "", records=records)
    entries = sorted(log.entries, key=lambda entry: int(entry["seq"]))
    mended = {entry["amends"] for entry in entries if "amends" in entry}
    shown = set(records["shows"])
    plans = [entry for entry in entries if entry["kind"] == "plan_adopted"]
    readings = [
        entry
        for entry in entries
        if entry["seq"] in shown and "temperature" in entry and entry["id"] not in mended and not entry.get("withdrawn")
    ]
    units = {entry["code"]: entry["type"] for entry in entries if entry["kind"] == "equipment_set"}
    readings.sort(key=lambda entry: str(entry["observed_at"]))
    early = _before_the_end([entry for entry in entries if entry["id"] not in mended and not entry.get("withdrawn")])
    return [_line(entry, plans, units, early.get(entry["seq"], "NO")) for entry in readings]


_RESTS_ON = {
    "cook_reading": ("spit_pulled", ("load", "spit"), ("bird", "place")),
    "reheat_reading": ("reheat_done", ("reheat",), ()),
}
"""What ends the heating that a reading is of, by which names they belong together, and what else a reading is of."""


def _before_the_end(entries: Sequence[Entry]) -> dict[int, str]:
    """Say of readings that no pull and no end of a reheat rests on, by seq, what being under the limit means."""
    found: dict[int, str] = {}
    last: dict[tuple[Any, ...], int] = {}
    readings = [entry for entry in entries if entry["kind"] in _RESTS_ON]
    for entry in sorted(readings, key=lambda entry: str(entry["observed_at"])):
        kind, together, of = _RESTS_ON[entry["kind"]]
        about = [entry[name] for name in together]
        ends = [one for one in entries if one["kind"] == kind and [one[name] for name in together] == about]
        ended_at = min((one["observed_at"] for one in ends if one["observed_at"] >= entry["observed_at"]), default=None)
        if not ends:
            found[entry["seq"]] = "not there yet, its end is not in these records"
        elif ended_at is not None:  # what is read after the end takes nothing back
            rests = (kind, *about, *(entry[name] for name in of), ended_at)
            if rests in last:
                found[last[rests]] = "not there yet, read again later"
            last[rests] = entry["seq"]
    return found


_NAMES = ("load", "spit", "bird", "tray", "batch", "reheat", "unit_code", "lot", "probe")


def _line(entry: Entry, plans: Sequence[Entry], units: dict[str, str], past: str) -> str:
    about = " ".join(str(entry[name]) for name in _NAMES if name in entry)
    said = f"{entry['observed_at'][:16]}Z  {entry['kind']:<15} {about:<28} {entry['temperature']} {entry['unit']}"
    in_force = [plan for plan in plans if plan["recorded_at"] <= entry["observed_at"]] or list(plans[:1])
    name, side = _HELD_TO.get(units.get(str(entry.get("unit_code")), str(entry["kind"])), ("", ""))
    limit = _in_unit(in_force[-1]["values"].get(name, {}).get("value", ""), entry["unit"]) if in_force else None
    if limit is None or (entry["kind"] == "receiving" and entry.get("state") != "chilled"):
        return said
    value = Decimal(entry["temperature"])
    is_past = value < limit if side == "least" else value > limit
    return f"{said}  at {side} {limit}: {past if is_past else 'yes'}"


def _in_unit(text: str, unit: str) -> Decimal | None:
    """Give a limit such as 165F/74C in the unit of the reading."""
    return next((Decimal(part[:-1]) for part in text.split("/") if part.endswith(unit)), None)


# ---- the command ----------------------------------------------------------------------------------------------------


def main(arguments: Sequence[str] | None = None) -> int:
    """Check what the command line names, and print it."""
    parser = argparse.ArgumentParser(description="Checks signed logs of a kitchen.")
    parser.add_argument("path", type=Path, help="one PDF, or a folder of them")
    parser.add_argument("--fingerprint", default="", help="of the kitchen's certificate, as it hangs in the house")
    asked = parser.parse_args(arguments)
    if not asked.path.exists():
        parser.error(f"there is no file or folder {asked.path}")
    logging.disable()  # what is wrong is said below, in words
    logs = [_read_and_checked(path) for path in (_pdfs_in(asked.path) if asked.path.is_dir() else [asked.path])]
    readable = [log for log in logs if log.records]
    wrong = not logs or any(log.faults for log in logs)
    for log in logs:
        _print(log)
    for site in sorted({log.records["site"] for log in readable}):
        faults, notes = check_together([log for log in readable if log.records["site"] == site], asked.fingerprint)
        wrong = wrong or bool(faults)
        _say(f"Kitchen {site}, between these files: " + ("nothing is wrong." if not faults else ""))
        _say(*(f"  WRONG  {fault}" for fault in faults), *(f"  note   {note}" for note in notes))
    if any(log.fingerprint for log in logs) and not asked.fingerprint:
        _say("Whose certificate signed, no file can say: compare it with the fingerprint that hangs in the kitchen.")
    if not logs:
        _say("There is no PDF here.")
    _say("Result: something is WRONG, see above." if wrong else "Result: nothing is wrong with what is here.")
    return int(wrong)


def _pdfs_in(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.suffix.lower() == ".pdf" and not path.is_dir())


def _read_and_checked(path: Path) -> Log:
    try:
        return check_file(path.name, path.read_bytes())
    except OSError as error:
        return Log(path.name, "", faults=[f"It cannot be read: {error.strerror}."])


def _say(*lines: str) -> None:
    """Print lines as text alone: what a file says could hide a line of the answer, or look like one."""
    encoding = sys.stdout.encoding or "utf-8"
    for line in lines:
        plain = "".join(sign if sign.isprintable() else "?" for sign in line)
        print(plain.encode(encoding, "replace").decode(encoding))


def _print(log: Log) -> None:
    _say(f"{log.name}: " + ("nothing is wrong with it by itself." if not log.faults else ""))
    _say(*(f"  WRONG  {fault}" for fault in log.faults))
    if log.fingerprint:
        _say(f"  signed by certificate {log.fingerprint}, at {log.signed_at} by the kitchen's own clock")
    if log.stamped_at:
        _say(f"  stamped at {log.stamped_at} by a time-stamp service")
    if log.records:
        seq, own_hash = log.head
        _say(f"  kitchen {log.records['site']}, {log.records['day']}, signed up to entry {seq}, {own_hash}")
        _say(*(f"    {line}" for line in _retold(log.records)))


def _retold(records: dict[str, Any]) -> list[str]:
    try:
        return retell(records)
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError):
        return ["Its readings cannot be told again: their fields are missing or of another kind."]


if __name__ == "__main__":
    sys.exit(main())
