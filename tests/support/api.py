"""Requests to the API by the cast, and what an answer is held to."""

from dataclasses import dataclass
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.support import cast


@dataclass(frozen=True)
class Api:
    """Requests to `/api/v1` by the cast."""

    client: FlaskClient

    def post(self, drafts: Any, *, by: str = "cook", site: str = "S1", query: str = "") -> TestResponse:
        """Post drafts as JSON."""
        path = f"/api/v1/sites/{site}/entries{query}"
        return self.client.post(path, json=drafts, headers=cast.bearer(by, _home(by)))

    def post_bytes(self, body: bytes, *, by: str = "cook", content_type: str = "application/json") -> TestResponse:
        """Post a body as it is."""
        path = "/api/v1/sites/S1/entries"
        return self.client.post(path, data=body, content_type=content_type, headers=cast.bearer(by))

    def get(self, path: str, *, by: str = "cook") -> TestResponse:
        """Get what is under `/api/v1/sites`."""
        return self.client.get(f"/api/v1/sites/{path}", headers=cast.bearer(by, _home(by)))

    def lines(self) -> list[bytes]:
        """Give the lines of the kitchen's own entries in the ledger of S1."""
        return self.get(f"S1/ledger?after_seq={cast.SET_UP}", by="pat").data.splitlines()

    def keep(self, *drafts: dict[str, Any], by: str = "cook") -> list[dict[str, Any]]:
        """Post drafts that must all be accepted."""
        response = self.post(list(drafts), by=by)
        assert [result["errors"] for result in response.get_json()] == [[]] * len(drafts)
        return list(response.get_json())

    def only_error(self, draft: Any, *, by: str = "cook") -> tuple[str, str]:
        """Post one draft that must be rejected with one error: its field and code."""
        (result,) = self.post([draft], by=by).get_json()
        assert (result["status"], result["seq"]) == ("rejected", None)
        (error,) = result["errors"]
        assert error["message"]
        return error["field"], error["code"]


def _home(login: str) -> str:
    return "S2" if login in cast.STRANGERS else "S1"


def is_problem(response: TestResponse, status: int) -> bool:
    """Whether this is a refusal as a whole with problem details (RFC 9457, section 3) in words."""
    details = response.get_json(force=True)
    assert response.content_type == "application/problem+json"
    assert set(details) == {"type", "title", "status", "detail"}
    assert details["detail"]
    return bool(response.status_code == details["status"] == status)
