"""What README.md and docs/service.md say to type is typed as it stands, by somebody who has never seen the program."""

import os
import pty
import re
import select
import signal
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from cryptography import x509

from app import schema
from app.db import Database
from app.models import Person, Site
from app.register import Refused
from app.server.tls import make_certificate
from tests.support import cast
from tests.support.checkout import copy_all_to

ROOT = Path(__file__).parent.parent
PASSWORD = "every bird twice, breast and thigh"
_PATIENCE_S = 180


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A clean copy of what git knows, with the libraries that are installed, and no record."""
    return checkout(tmp_path / "roast-ledger")


def checkout(target: Path) -> Path:
    """Copy what git knows, with the libraries that are installed."""
    copy_all_to(target)
    (target / ".venv").symlink_to(Path(ROOT / ".venv").resolve())
    return target


def blocks(page: str, heading: str) -> list[str]:
    """Give the blocks of commands under a heading, as they stand."""
    section = (ROOT / page).read_text("utf-8").partition(f"## {heading}\n")[2].partition("\n## ")[0]
    return re.findall(r"```sh\n(.*?)```", section, re.DOTALL)


def free_port() -> int:
    """Give a port that nobody has."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


class Terminal:
    """A terminal at which somebody types: what it shows, and what is answered to a question."""

    def __init__(self, script: str, folder: Path, **more: str) -> None:
        bare = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
        self.shown = ""
        self.pid, self.end = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            os.execvpe("bash", ["bash", "-e", "-c", script], {**bare, **more})

    def wait_for(self, text: str) -> str:
        """Wait until the terminal shows a text; give all that it showed."""
        until = time.monotonic() + _PATIENCE_S
        while text not in self.shown:
            assert time.monotonic() < until, self.shown
            if select.select([self.end], [], [], 0.2)[0]:
                try:
                    self.shown += os.read(self.end, 4096).decode("utf-8", "replace").replace("\r\n", "\n")
                except OSError:  # it has ended
                    assert text in self.shown, self.shown
        return self.shown

    def answer(self, question: str, text: str) -> None:
        """Answer a question."""
        self.wait_for(question)
        self.shown = self.shown.partition(question)[2]
        os.write(self.end, f"{text}\n".encode())

    def stop(self) -> None:
        """Press Ctrl-C and wait until all of it has ended."""
        with suppress(ProcessLookupError):
            os.killpg(os.getpgid(self.pid), signal.SIGINT)
        os.waitpid(self.pid, 0)
        os.close(self.end)


@contextmanager
def typed(script: str, folder: Path, **more: str) -> Iterator[Terminal]:
    """Type a script at a terminal; whatever still runs in the end is stopped."""
    terminal = Terminal(script, folder, **more)
    try:
        yield terminal
    finally:
        terminal.stop()


def answers(url: str, context: ssl.SSLContext | None = None) -> str:
    """Wait until something answers at an address."""
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            with urlopen(url, timeout=60, context=context) as answer:
                return str(answer.read().decode())
        except OSError:  # nothing listens yet, or a busy machine is still loading it
            assert time.monotonic() < until
            time.sleep(0.1)


def test_two_commands_print_a_link_that_opens_the_set_up(folder: Path) -> None:
    port = free_port()
    with typed(blocks("README.md", "Putting it into service")[0], folder, PORT=str(port)) as terminal:
        shown = terminal.wait_for("Ctrl-C stops it")
        link = re.findall(rf"http://127\.0\.0\.1:{port}/begin/\S+", shown)[0]
        assert "Which code of law counts here?" in answers(link)
        assert answers(f"http://127.0.0.1:{port}/healthz") == "ok\n"
        assert (folder / "instance" / "roast-ledger.db").exists()


def test_the_kitchen_of_the_readme_is_set_up_in_the_terminal(folder: Path) -> None:
    port = free_port()
    script = blocks("README.md", "Putting it into service")[1]
    assert script.count(":8000") == 1
    with typed(script.replace(":8000", f":{port}"), folder) as terminal:
        terminal.answer("Password: ", PASSWORD)
        terminal.answer("The same password again: ", PASSWORD)
        assert answers(f"http://127.0.0.1:{port}/healthz") == "ok\n"
        shown = terminal.wait_for("blue is listed")
    assert "KITCHEN is set up: pat is in charge" in shown
    assert PASSWORD not in shown
    database = Database(f"sqlite:///{folder / 'instance' / 'roast-ledger.db'}")
    with database.reading() as session:
        assert (session.query(Site).one().code, session.query(Person).one().login) == ("KITCHEN", "pat")
    database.engine.dispose()


def test_the_unit_for_systemd_is_in_order(folder: Path, tmp_path: Path) -> None:
    unit = (folder / "docs" / "service" / "roast-ledger.service").read_text("utf-8")
    placed = tmp_path / "roast-ledger.service"
    placed.write_text(unit.replace("/opt/roast-ledger", str(folder)), "utf-8")
    (folder / "instance").mkdir()
    check = ["systemd-analyze", "verify", "--man=no", "--recursive-errors=no", str(placed)]
    run = subprocess.run(check, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    placed.write_text(unit.replace("/opt/roast-ledger", str(folder)).replace("ExecStart=", "ExecStrat="), "utf-8")
    assert subprocess.run(check, capture_output=True, check=False).returncode != 0


def test_the_container_file_does_what_the_scripts_do() -> None:
    """Its steps are the scripts that tests/test_bare_root.py runs in a bare Debian."""
    lines = (ROOT / "docs" / "service" / "Containerfile").read_text("utf-8").splitlines()
    assert "RUN /opt/roast-ledger/docs/service/install.sh" in lines
    assert 'CMD ["docs/service/start.sh"]' in lines
    for name in ("install.sh", "start.sh", "upgrade.sh"):
        assert os.access(ROOT / "docs" / "service" / name, os.X_OK)


def git(folder: Path, *words: str) -> None:
    """Run git in a folder, as somebody invented."""
    who = ["-c", "user.name=Pat Porter", "-c", "user.email=pat@kitchen.example", "-c", "init.defaultBranch=main"]
    subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def clone(folder: Path, tmp_path: Path) -> Path:
    """A checkout with a kitchen in it, behind a newer version."""
    git(folder, "init")
    git(folder, "add", "--all")
    git(folder, "commit", "-m", "one version")
    git(tmp_path, "clone", "--quiet", str(folder), "clone")
    copy = tmp_path / "clone"
    (copy / ".venv").symlink_to(Path(ROOT / ".venv").resolve())
    about = ["--name", "Our kitchen", "--timezone", "America/Chicago", "--login", "pat", "--person", "Pat Porter"]
    init = [".venv/bin/flask", "--app", "app", "init", "KITCHEN", *about, "--password-file", "-"]
    subprocess.run(init, cwd=copy, input=PASSWORD, text=True, check=True, capture_output=True, env=bare())
    (folder / "NEWS").write_text("a newer version\n", "utf-8")
    git(folder, "add", "NEWS")
    git(folder, "commit", "-m", "the next version")
    return copy


def bare(**more: str) -> dict[str, str]:
    """Give an environment without the settings of whoever runs the tests."""
    return {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ} | more


def upgrade(clone: Path) -> subprocess.CompletedProcess[str]:
    """Type the one command."""
    return subprocess.run(["make", "upgrade"], cwd=clone, capture_output=True, text=True, check=False, env=bare())


def test_one_command_upgrades_after_a_copy_of_the_records(clone: Path) -> None:
    run = upgrade(clone)
    assert run.returncode == 0, run.stderr
    assert (clone / "NEWS").exists()
    assert "The database is up to date." in run.stdout
    kept = list((clone / "instance").glob("before-upgrade-*.db"))
    assert len(kept) == 1
    database = Database(f"sqlite:///{kept[0]}")
    with database.reading() as session:
        assert session.query(Site).one().name == "Our kitchen"
    database.engine.dispose()


def test_an_upgrade_that_cannot_be_says_why_and_changes_nothing(clone: Path) -> None:
    (clone / "Makefile").write_text((clone / "Makefile").read_text("utf-8") + "# mine\n", "utf-8")
    run = upgrade(clone)
    assert (run.returncode != 0, "files of the program were changed here" in run.stderr) == (True, True)
    assert not (clone / "NEWS").exists()
    assert list((clone / "instance").glob("before-upgrade-*.db")) == []


def command(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command of the program in a folder of its own."""
    line = [".venv/bin/flask", "--app", "app", *words]
    return subprocess.run(line, cwd=folder, capture_output=True, text=True, check=False, env=bare(**more))


def psql(server: str, sql: str) -> None:
    """Hand SQL to psql, as the documentation does."""
    host = re.findall(r"host=(\S+)", server)[0]
    line = ["psql", "--quiet", "--set", "ON_ERROR_STOP=1", "--host", host, "--username", "tests", "postgres"]
    subprocess.run(line, input=sql, text=True, check=True, capture_output=True)


@pytest.mark.parametrize("options", [(), ("--host", "db.lan")])
def test_the_sql_for_postgresql_makes_a_database_that_serves(
    folder: Path, postgresql_server: str, options: Sequence[str]
) -> None:
    name = f"ledger_{len(options)}"
    run = command(folder, "postgresql", "--role", name, "--database", name, *options)
    assert f"DATABASE_URL=postgresql://{name}" in run.stderr
    assert ("PASSWORD" in run.stdout) is bool(options)
    psql(postgresql_server, run.stdout)
    host = re.findall(r"host=(\S+)", postgresql_server)[0]
    url = f"postgresql://{name}@/{name}?host={host}"
    schema.upgrade(url.replace("postgresql:", "postgresql+psycopg:"))
    assert "/begin/" in command(folder, "init", DATABASE_URL=url).stdout


def test_a_name_that_sql_would_read_otherwise_is_refused(folder: Path) -> None:
    run = command(folder, "postgresql", "--role", 'x"; DROP TABLE entries; --')
    assert (run.returncode, run.stdout) == (1, "")
    assert "small letters" in run.stderr


def test_the_server_speaks_tls_once_it_has_a_certificate(folder: Path) -> None:
    port = free_port()
    said = command(folder, "certificate", "localhost", "127.0.0.1").stdout
    assert "Tell each tablet once to believe this authority" in said
    tls = folder / "instance" / "tls"
    believes = ssl.create_default_context(cafile=tls / "authority.crt")
    with typed(f"make serve PORT={port}", folder) as terminal:
        assert answers(f"https://127.0.0.1:{port}/healthz", believes) == "ok\n"
        assert answers(f"https://localhost:{port}/healthz", believes) == "ok\n"
        assert f"https://127.0.0.1:{port}/begin/" in terminal.wait_for("Ctrl-C stops it")
        with urlopen(f"https://127.0.0.1:{port}/signin", context=believes) as answer:
            assert "; Secure" in answer.headers["Set-Cookie"]
        with pytest.raises(URLError, match="CERTIFICATE_VERIFY_FAILED"):
            urlopen(f"https://127.0.0.1:{port}/healthz", context=ssl.create_default_context())
    assert {path.stat().st_mode & 0o077 for path in tls.glob("*.key")} == {0}


def test_a_certificate_is_renewed_under_the_authority_that_tablets_believe(folder: Path) -> None:
    command(folder, "certificate", "kitchen.lan")
    tls = folder / "instance" / "tls"
    first, authority = (tls / "server.crt").read_bytes(), (tls / "authority.crt").read_bytes()
    assert "believe already" in command(folder, "certificate", "kitchen.lan").stdout
    assert ((tls / "server.crt").read_bytes() != first, (tls / "authority.crt").read_bytes()) == (True, authority)
    assert "Tell each tablet" in command(folder, "certificate", "kitchen.lan", "192.168.1.20").stdout
    made = x509.load_pem_x509_certificate((tls / "server.crt").read_bytes())
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["kitchen.lan"]
    assert (made.not_valid_after_utc - made.not_valid_before_utc).days <= 825


@pytest.mark.parametrize("host", ["", "two words", "https://kitchen.lan", "-kitchen", "kitchen.lan:8000", "*"])
def test_what_is_no_host_gets_no_certificate(tmp_path: Path, host: str) -> None:
    with pytest.raises(Refused, match="host: type"):
        make_certificate(tmp_path / "tls", ["kitchen.lan", host], at=cast.OPENED)
    assert not (tmp_path / "tls").exists()
