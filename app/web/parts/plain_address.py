"""A page that came without TLS: what a tablet at such an address goes without is said where it is enrolled."""

from flask import request

_THIS_MACHINE = ("127.0.0.1", "localhost", "[::1]")
"""A browser trusts the machine that it runs on, without TLS too."""


def is_plain_address() -> bool:
    """Whether the browser reached this page over the network without TLS."""
    host = request.host if request.host.endswith("]") else request.host.rpartition(":")[0] or request.host
    return not request.is_secure and host not in _THIS_MACHINE
