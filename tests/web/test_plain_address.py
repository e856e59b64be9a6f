"""A tablet at an address without TLS is told what it goes without, where it is enrolled."""

import pytest
from flask import Flask

SAYS = "This address is plain http"


@pytest.mark.parametrize(
    ("address", "is_told"),
    [
        ("http://kitchen.lan:8000", True),
        ("http://192.168.1.20:8000", True),
        ("http://kitchen.lan", True),
        ("https://kitchen.lan:8000", False),
        ("http://127.0.0.1:8000", False),
        ("http://localhost", False),
        ("http://[::1]:8000", False),
    ],
)
def test_a_plain_address_is_told_what_it_goes_without(app: Flask, address: str, *, is_told: bool) -> None:
    said = app.test_client().get("/tablet", base_url=address).get_data(as_text=True)
    assert (SAYS in said) is is_told
    assert ("certificate" in said.partition(SAYS)[2]) is is_told
