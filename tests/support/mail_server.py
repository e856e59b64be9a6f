"""A real mail server on this machine that keeps what it is sent."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller


@dataclass
class MailServer:
    """What arrived, oldest first; `refuses` makes it answer 550 to everything."""

    messages: list[EmailMessage] = field(default_factory=list)
    refuses: bool = False
    url: str = ""

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep a message, or refuse it."""
        if self.refuses:
            return "550 not today"
        message = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(message, EmailMessage)
        message["X-Sent-To"] = ", ".join(envelope.rcpt_tos)
        self.messages.append(message)
        return "250 kept"


@contextmanager
def mail_server() -> Iterator[MailServer]:
    """Serve mail on a free port of this machine: `url` is the setting MAIL_SERVER."""
    kept = MailServer()
    controller = _OnFreePort(kept, hostname="127.0.0.1", port=0)
    controller.start()
    try:
        assert controller.server is not None
        kept.url = f"smtp://127.0.0.1:{controller.server.sockets[0].getsockname()[1]}"
        yield kept
    finally:
        controller.stop()


class _OnFreePort(Controller):
    def _trigger_server(self) -> None:
        # Its own way connects to port 0, which is the one that was asked for and not the one that was given.
        assert self.server is not None
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()
