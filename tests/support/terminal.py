"""Running the commands as somebody at a terminal would."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from click.testing import Result
from flask import Flask


@dataclass(frozen=True)
class Terminal:
    """A terminal with a folder for files."""

    app: Flask
    folder: Path

    def run(self, *args: str, typed: str | None = None) -> Result:
        """Run a command that must succeed; nothing goes to standard error but questions."""
        result = self.try_to(*args, typed=typed)
        assert result.exit_code == 0, result.stderr
        return result

    def fail(self, *args: str, typed: str | None = None, exit_code: int = 1) -> str:
        """Run a command that must fail: gives its one line on standard error."""
        result = self.try_to(*args, typed=typed)
        assert result.exit_code == exit_code, result.output
        lines = result.stderr.splitlines()
        assert lines[-1].startswith("Error: ")
        assert [line for line in lines[:-1] if not line.endswith(": ")] == []
        assert "Traceback" not in result.output
        return lines[-1].removeprefix("Error: ")

    def try_to(self, *args: str, typed: str | None = None) -> Result:
        """Run a command."""
        return self.app.test_cli_runner().invoke(args=list(args), input=typed)

    def file(self, name: str, text: str) -> str:
        """Make a file and give its path."""
        path = self.folder / name
        path.write_text(text, "utf-8")
        return str(path)

    @property
    def password(self) -> str:
        """A file with a good password."""
        return self.file("password", "every bird twice, breast and thigh\n")

    def init(self, site: str = "S1", *more: str) -> Result:
        """Set up a kitchen with Pat in charge."""
        return self.run(*self.init_line(site, *more))

    def init_line(self, site: str = "S1", *more: str) -> Sequence[str]:
        """Give the command that sets up a kitchen."""
        given = ("--name", "Kitchen One", "--timezone", "America/Chicago", "--login", "pat", "--person", "Pat Porter")
        return ("init", site, *given, "--password-file", self.password, *more)
