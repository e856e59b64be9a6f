"""A file that somebody sends to the page that checks logs, and what that answers."""

import io
import subprocess
from collections.abc import Sequence
from types import SimpleNamespace

from werkzeug.test import TestResponse

from app.server.kept_logs import check_logs, check_one
from tests.support.browsing import Browser


def ask(browser: Browser, *contents: bytes) -> TestResponse:
    """Send files to the page as a browser does; the second is called `log-2.pdf`."""
    names = ["log.pdf", *(f"log-{number}.pdf" for number in range(2, len(contents) + 1))]
    files = [(io.BytesIO(content), name) for content, name in zip(contents, names, strict=False)]
    answer = browser.client.post("/check", data={"log": files})
    answer.request.environ["wsgi.input"].close()  # what it sent: of half a megabyte and more, a file
    return answer


def answers(answer: TestResponse) -> str:
    """Give what it says of the files."""
    text = answer.get_data(as_text=True)
    return text[text.index('id="answer-1"') : text.index("Another file")]


def _look_at(command: Sequence[str], *, input: bytes, **_limits: object) -> SimpleNamespace:
    certificates = command[command.index(check_one.__file__) + 1 :]
    return SimpleNamespace(stdout=check_one.tell(check_logs.check_file("", input), certificates))


run_here = SimpleNamespace(
    run=_look_at, TimeoutExpired=subprocess.TimeoutExpired, CalledProcessError=subprocess.CalledProcessError
)
"""In the place of `subprocess` where a file is looked at: the same answer, in this process."""


def pdf_of(*streams: tuple[str, bytes]) -> bytes:
    """A PDF written by hand whose catalog leads to an attachment `records.json`, object 3, and what else is given."""
    objects = [
        b"<</Type/Catalog/Pages 2 0 R/AF[4 0 R]>>",
        b"<</Type/Pages/Kids[]/Count 0>>",
        *(f"<<{about}/Length {len(data)}>>stream\n".encode() + data + b"\nendstream" for about, data in streams),
        b"<</Type/Filespec/UF(records.json)/EF<</F 3 0 R>>>>",
    ]
    out, places = io.BytesIO(b"%PDF-1.7\n"), []
    out.seek(0, io.SEEK_END)
    for number, content in enumerate(objects, 1):
        places.append(out.tell())
        out.write(f"{number} 0 obj\n".encode() + content + b"\nendobj\n")
    table = out.tell()
    out.write(f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode())
    out.write(b"".join(f"{place:010} 00000 n \n".encode() for place in places))
    out.write(f"trailer<</Size {len(objects) + 1}/Root 1 0 R>>\nstartxref\n{table}\n%%EOF".encode())
    return out.getvalue()
