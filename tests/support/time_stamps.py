"""A real time-stamp service (RFC 3161) on this machine: `openssl ts` behind a small HTTP server."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

_CONFIG = """
[req]
distinguished_name = name
[name]
[tsa]
default_tsa = own
[own]
dir = {folder}
serial = {folder}/serial
signer_cert = {folder}/tsa.pem
certs = {folder}/tsa.pem
signer_key = {folder}/tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
ess_cert_id_alg = sha256
[extensions]
basicConstraints = critical, CA:false
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, timeStamping
"""


@dataclass
class TimeStampService:
    """Where it is asked, and the certificate by which its answers are checked; `is_ill` makes it answer nonsense."""

    url: str
    certificate: Path
    is_ill: bool = False

    def accepts(self, token: bytes, content: bytes, folder: Path) -> bool:
        """Whether `openssl ts -verify` finds that a token stamps some bytes."""
        (folder / "token.der").write_bytes(token)
        (folder / "content").write_bytes(content)
        done = subprocess.run(
            [
                "openssl",
                "ts",
                "-verify",
                "-token_in",
                "-in",
                "token.der",
                "-data",
                "content",
                "-CAfile",
                self.certificate,
            ],
            cwd=folder,
            capture_output=True,
            check=False,
        )
        return done.returncode == 0


@contextmanager
def time_stamp_service(folder: Path) -> Iterator[TimeStampService]:
    """Serve time stamps on a free port until the end of the block."""
    config = folder / "openssl.cnf"
    config.write_text(_CONFIG.format(folder=folder), "utf-8")
    (folder / "serial").write_text("01\n", "ascii")
    subject, days = ["-subj", "/CN=Time stamps for tests"], ["-days", "36500"]
    made = ["-keyout", "tsa.key", "-out", "tsa.pem", "-config", str(config), "-extensions", "extensions"]
    _run(folder, "req", "-x509", "-newkey", "rsa:2048", "-nodes", *subject, *days, *made)
    server = ThreadingHTTPServer(("127.0.0.1", 0), BaseHTTPRequestHandler)
    service = TimeStampService(f"http://127.0.0.1:{server.server_address[1]}/", folder / "tsa.pem")
    server.RequestHandlerClass = _handler(folder, service)
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield service
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def _handler(folder: Path, service: TimeStampService) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            """Answer a query with `openssl ts -reply`."""
            query = self.rfile.read(int(self.headers["Content-Length"]))
            answer = b"nonsense" if service.is_ill else _answer(folder, query)
            self.send_response(200)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *_said: object) -> None:
            """Say nothing."""

    return Handler


def _answer(folder: Path, query: bytes) -> bytes:
    (folder / "query.tsq").write_bytes(query)
    _run(folder, "ts", "-reply", "-queryfile", "query.tsq", "-out", "reply.tsr", "-config", "openssl.cnf")
    return (folder / "reply.tsr").read_bytes()


def _run(folder: Path, *arguments: str) -> None:
    subprocess.run(["openssl", *arguments], cwd=folder, capture_output=True, check=True)
