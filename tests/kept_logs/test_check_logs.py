"""Checking logs without the program: by the page on the format, by the stand-alone file, alone and together."""

import hashlib
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app.server.kept_logs import check_logs
from tests.support import page_verifier

SOURCE = Path(check_logs.__file__)


# ---- by the page alone ----------------------------------------------------------------------------------------------


def test_a_verifier_written_from_the_page_finds_nothing_wrong(three: list[bytes]) -> None:
    logs = [page_verifier.records_of(pdf) for pdf in three]
    assert [page_verifier.check(log) for log in logs] == [[], [], []]
    assert page_verifier.check_together(logs) == []
    told = page_verifier.kept_hashes(logs)
    signed = [log["sign_off"]["seq"] for log in logs]
    assert [told.get(seq) for seq in signed] == [hashlib.sha256(pdf).hexdigest() for pdf in three[:2]] + [None]


# ---- the stand-alone file -------------------------------------------------------------------------------------------


def run(*arguments: str | Path) -> tuple[int, str]:
    """Run the file as an inspector does: alone in a folder, without this project."""
    command = [sys.executable, "-I", SOURCE, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.stderr == ""
    return done.returncode, done.stdout


@pytest.fixture
def folder(three: list[bytes], tmp_path: Path) -> Path:
    """A folder with the three logs."""
    for number, pdf in enumerate(three):
        (tmp_path / f"{number}.pdf").write_bytes(pdf)
    return tmp_path


def test_it_needs_nothing_but_python_and_pyhanko() -> None:
    imported = {line.split()[1].partition(".")[0] for line in SOURCE.read_text("utf-8").split("\n") if _imports(line)}
    assert imported - set(sys.stdlib_module_names) == {"pyhanko", "pyhanko_certvalidator"}


def _imports(line: str) -> bool:
    return line.strip().startswith(("import ", "from ")) and (" import " in line or line.strip().startswith("import "))


def test_a_folder_of_logs_is_checked_together(folder: Path) -> None:
    code, said = run(folder)
    assert code == 0, said
    assert "Kitchen S1, between these files: nothing is wrong." in said
    assert "2.pdf: the SHA-256 of the file is in the next log's records, which is not here." in said


def test_one_log_tells_its_readings_beside_the_limits(folder: Path) -> None:
    code, said = run(folder / "0.pdf")
    assert code == 0
    assert "cook_reading    A-L1 1 4 blue                166 F  at least 165: yes" in said
    assert "hold_reading    A-T1 blue                    150 F  at least 135: yes" in said


def _reading(seq: int, at: str, temperature: str, *, spit: int = 1, place: str = "breast") -> dict[str, Any]:
    reading = {"kind": "cook_reading", "load": "L", "spit": spit, "bird": 1, "place": place, "unit": "F"}
    return {**reading, "seq": seq, "id": str(seq), "observed_at": f"2026-04-14T{at}", "temperature": temperature}


def test_only_the_reading_that_a_pull_rests_on_is_held_to_its_limit() -> None:
    limit = {"cook_core": {"value": "165F/74C"}}
    plan = {"kind": "plan_adopted", "seq": 1, "id": "1", "recorded_at": "2026-04-01T00:00", "values": limit}
    pulled = {"kind": "spit_pulled", "seq": 9, "id": "9", "load": "L", "spit": 1, "observed_at": "2026-04-14T12:00"}
    readings = [
        _reading(2, "11:00", "131"),
        _reading(3, "11:30", "160", place="thigh"),
        _reading(4, "11:50", "166"),
        _reading(5, "12:10", "150"),
        _reading(6, "12:20", "170"),
        _reading(7, "11:00", "140", spit=2),
    ]
    entries = [plan, *readings, pulled]
    shows = [one["seq"] for one in entries]
    records = {"earlier": [], "run": {"entries": entries}, "shows": shows}
    told = {
        line[11:16] + line[33:43].strip(): line.partition("at least 165: ")[2] for line in check_logs.retell(records)
    }
    assert told == {
        "11:00L 1 1": "not there yet, read again later",
        "11:30L 1 1": "NO",
        "11:50L 1 1": "yes",
        "12:10L 1 1": "NO",
        "12:20L 1 1": "yes",
        "11:00L 2 1": "not there yet, its end is not in these records",
    }


def test_the_fingerprint_on_the_wall_is_asked_for(folder: Path, three: list[bytes]) -> None:
    own = check_logs.check_file("", three[0]).fingerprint
    grouped = " ".join(own[place : place + 4] for place in range(0, 64, 4)).upper()
    assert run(folder, "--fingerprint", grouped)[0] == 0
    code, said = run(folder, "--fingerprint", "0" * 64)
    assert code == 1
    assert said.count("signed with another certificate") == 3


def test_a_log_that_is_missing_is_noted(folder: Path) -> None:
    (folder / "1.pdf").unlink()
    code, said = run(folder)
    assert code == 0
    assert "2.pdf: the log before it, up to entry" in said


def test_no_file_at_all_is_not_right(tmp_path: Path) -> None:
    code, said = run(tmp_path)
    assert (code, said.splitlines()[0]) == (1, "There is no PDF here.")


def test_every_pdf_of_a_folder_is_looked_at_whatever_its_name(folder: Path) -> None:
    (folder / "1.pdf").rename(folder / "1.PDF")
    (folder / "a folder.pdf").mkdir()
    code, said = run(folder)
    assert code == 0, said
    assert "1.PDF: nothing is wrong with it by itself." in said
    (folder / "lost.pdf").symlink_to(folder / "nowhere")
    code, said = run(folder)
    assert code == 1
    assert "lost.pdf: \n  WRONG  It cannot be read: No such file or directory." in said


def test_it_says_that_no_file_proves_whose_certificate_it_is(folder: Path, three: list[bytes]) -> None:
    said = "compare it with the fingerprint that hangs in the kitchen"
    own = check_logs.check_file("", three[0]).fingerprint
    assert said in run(folder)[1]
    assert said not in run(folder, "--fingerprint", own)[1]


@pytest.mark.parametrize("sign", ["\x1b[1A\x1b[2K", "\r", "\u202e", "\nResult: right"])
def test_what_a_file_says_hides_no_line_of_the_answer(
    folder: Path, three: list[bytes], sign: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    hostile = check_logs.check_file("0.pdf", three[0])
    entry = next(entry for entry in hostile.run if entry["kind"] == "cook_reading")
    entry["load"] = f"A{sign}B"
    monkeypatch.setattr(check_logs, "check_file", lambda *_about: hostile)
    check_logs.main([str(folder / "0.pdf")])
    said = capsys.readouterr().out
    assert sign not in said
    assert f"A{''.join(one if one.isprintable() else '?' for one in sign)}B" in said


@pytest.mark.parametrize("change", [{"observed_at": 5}, {"temperature": "warm"}, {"unit": None}])
def test_readings_that_cannot_be_told_again_are_said_to_be_so(
    folder: Path,
    three: list[bytes],
    change: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    odd = check_logs.check_file("0.pdf", three[0])
    next(entry for entry in odd.run if entry["kind"] == "cook_reading").update(change)
    monkeypatch.setattr(check_logs, "check_file", lambda *_about: odd)
    check_logs.main([str(folder / "0.pdf")])
    assert "Its readings cannot be told again" in capsys.readouterr().out


def test_a_changed_byte_is_told_to_the_end(folder: Path, three: list[bytes]) -> None:
    (folder / "1.pdf").write_bytes(three[1].replace(b"/ETSI.CAdES.detached", b"/ETSI.BAdES.detached"))
    code, said = run(folder / "1.pdf")
    assert code == 1
    assert "1.pdf: \n  WRONG" in said
    assert said.endswith("Result: something is WRONG, see above.\n")


# ---- every changed byte ---------------------------------------------------------------------------------------------


def contents_of(pdf: bytes) -> tuple[int, int]:
    """Give from where to where the signature itself stands in the file, in hexadecimal."""
    place = pdf.index(b"/Contents <", pdf.rindex(b"/ByteRange") - 20000) + len(b"/Contents <")
    return place, pdf.index(b">", place)


def test_a_changed_byte_anywhere_is_found_by_the_signature_or_by_the_hash(three: list[bytes]) -> None:
    pdf, told = three[0], page_verifier.kept_hashes([page_verifier.records_of(pdf) for pdf in three])
    own = page_verifier.records_of(pdf)["sign_off"]["seq"]
    begin, end = contents_of(pdf)
    for place in (*range(0, len(pdf), 997), begin + 9, end - 3, len(pdf) - 1):
        changed = pdf[:place] + bytes([pdf[place] ^ 1]) + pdf[place + 1 :]
        assert hashlib.sha256(changed).hexdigest() != told[own]
        is_signature = begin <= place < end
        assert check_logs.check_file("", changed).faults or is_signature, place


def test_a_changed_padding_is_found_by_the_next_log_alone(three: list[bytes], folder: Path) -> None:
    _begin, end = contents_of(three[0])
    assert three[0][end - 40 : end] == b"0" * 40
    (folder / "0.pdf").write_bytes(three[0][: end - 2] + b"1" + three[0][end - 1 :])
    assert check_logs.check_file("", (folder / "0.pdf").read_bytes()).faults == []
    code, said = run(folder)
    assert code == 1
    assert "0.pdf: its bytes are not those that were kept" in said


def test_a_signature_that_was_cut_off_is_found(three: list[bytes], folder: Path) -> None:
    cut = three[0][: three[0].index(b"%%EOF") + 6]
    (folder / "0.pdf").write_bytes(cut)
    code, said = run(folder)
    assert code == 1
    assert "Nobody signed it." in said
    assert "0.pdf: its bytes are not those that were kept" in said


def test_something_written_after_the_signature_is_found(three: list[bytes]) -> None:
    import io

    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(io.BytesIO(three[0]))
    writer.root["/Lang"] = generic.pdf_string("es")
    writer.update_root()
    output = io.BytesIO()
    writer.write(output)
    assert "It was changed after it was signed." in check_logs.check_file("", output.getvalue()).faults


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7", b"no PDF at all", b"%PDF-1.7\n" + b"\x00" * 5000])
def test_what_is_no_log_is_said_to_be_none(content: bytes) -> None:
    assert check_logs.check_file("", content).faults
