"""The headers that every answer carries.

The tablet app's own, stricter for a page with scripts, stand in shell; pages of
the station have no script at all but may send their own forms.
"""

from flask import Response

from checklist.shell import HEADERS

PAGE_POLICY = (
    "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def guard(response: Response) -> Response:
    """Add what is not set yet; answers of the station are never kept by a cache."""
    for name, value in {**HEADERS, "Content-Security-Policy": PAGE_POLICY}.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "no-store")
    return response
