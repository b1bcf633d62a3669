"""The plain door beside an https station: it explains, hands out the authority, and lets nobody in.

A tablet that does not trust the station yet cannot read its pages; here it reads how
to. Whatever else is asked for gets the explanation, and the exchange a refusal,
never a way on: what a tablet sends must not travel in the clear.
"""

from collections.abc import Callable, Iterable

EXPLAINED = "/trust"
REFUSED = "/trust/refused"
# What a page needs to look like one, and nothing that does anything.
LOOKS = (".css", ".svg")
PORT = "checklist.https_port"


class Door:
    """A WSGI app in front of the station's own that lets through only what explains."""

    def __init__(self, app: Callable, https_port: int) -> None:
        self._app, self._https_port = app, https_port

    def __call__(self, environ: dict, start_response: Callable) -> Iterable[bytes]:
        """Answer one request."""
        path = environ.get("PATH_INFO", "")
        environ = {**environ, PORT: self._https_port}
        if environ["REQUEST_METHOD"] not in ("GET", "HEAD") or path.startswith("/v1/") or path == "/health":
            environ |= {"PATH_INFO": REFUSED, "REQUEST_METHOD": "GET", "QUERY_STRING": ""}
        elif not (_is_below(path, EXPLAINED) or (path.startswith("/r/") and path.endswith(LOOKS))):
            environ |= {"PATH_INFO": EXPLAINED, "QUERY_STRING": ""}
        return self._app(environ, start_response)


def _is_below(path: str, folder: str) -> bool:
    return path == folder or path.startswith(f"{folder}/")
