"""Problem details (RFC 9457): what is wrong with a request as a whole."""

from flask import Response
from werkzeug.exceptions import HTTPException

from .encoding import json_response


def answer_error(error: HTTPException) -> Response:
    """Give any refusal of the API as problem details, with the headers that belong to it."""
    status = error.code or 500
    body = {"type": "about:blank", "title": error.name, "status": status, "detail": str(error.description)}
    response = json_response(body, status=status, content_type="application/problem+json")
    for name, value in error.get_headers():
        if name.lower() != "content-type":
            response.headers[name] = value
    return response
