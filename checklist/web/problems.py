"""Every error becomes one JSON shape or one HTML page, never a trace.

Programs read the code; people read the sentence of that code in the pack.
"""

import json
import logging
import sqlite3

from flask import Flask, Response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from checklist.errors import ERRORS, ChecklistError
from checklist.web.parts import parts
from checklist.writer import explain

PROBLEM_TYPE = "application/problem+json"
RETRY_AFTER_S = 30

_FROM_HTTP = {404: "not_found", 405: "method_wrong", 413: "batch_too_big", 415: "encoding_unknown"}
_log = logging.getLogger(__name__)


def register(app: Flask) -> None:
    """Answer every error of an app."""
    app.register_error_handler(ChecklistError, answer)
    app.register_error_handler(HTTPException, _answer_http)
    app.register_error_handler(Exception, _answer_bug)


def answer(error: ChecklistError) -> Response:
    """Make the answer to an error, for a program or for a person."""
    status = ERRORS[error.code].status
    if status >= 500:
        # The trace is for whoever runs the station, never for who asked.
        _log.error("%s at %s", error, request.path, exc_info=error.__cause__ or error)
    title = parts().pack.text(f"problem.{error.code}")
    if _asks_for_json():
        response = as_json(error)
    else:
        page = render_template("problem.html", code=error.code, title=title)
        response = Response(page, status, content_type="text/html; charset=utf-8")
    if status in (429, 503):
        response.headers["Retry-After"] = str(RETRY_AFTER_S)
    return response


def as_json(error: ChecklistError) -> Response:
    """Make the answer to an error for a program."""
    status, title = ERRORS[error.code].status, parts().pack.text(f"problem.{error.code}")
    body = {
        **error.facts,
        "type": f"urn:checklist:problem:{error.code}",
        "title": title,
        "status": status,
        "code": error.code,
        "detail": str(error),
    }
    return Response(json.dumps(body), status, content_type=PROBLEM_TYPE)


def _asks_for_json() -> bool:
    return request.path.startswith("/v1/") or request.path == "/health"


def _answer_http(error: HTTPException) -> Response:
    if isinstance(error, CSRFError):
        return answer(ChecklistError("form_expired"))
    if error.code is None or error.code < 400:
        return error.get_response()
    code = _FROM_HTTP.get(error.code, "unexpected" if error.code >= 500 else "batch_malformed")
    response = answer(ChecklistError(code))
    response.headers.extend(
        (name, value) for name, value in error.get_headers() if name == "Allow"
    )
    return response


def _answer_bug(error: Exception) -> Response:
    said = explain(error) if isinstance(error, sqlite3.Error) else error
    if not isinstance(said, ChecklistError):
        said = ChecklistError("unexpected")
    said.__cause__ = error
    return answer(said)
