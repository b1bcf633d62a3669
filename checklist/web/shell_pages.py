"""Serve the tablet app: its page, its worker and the files of the release in force and the one before.

A release's files never change, so they may be kept for ever; the page and the
worker are asked for anew each time, since they are what names the release.
"""

from flask import Blueprint, Response, abort, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from checklist.releases import Releases
from checklist.shell import HEADERS, File
from checklist.web.local import by_name

FOR_EVER = "public, max-age=31536000, immutable"
EACH_TIME = "no-cache"


def blueprint(releases: Releases) -> Blueprint:
    """Make the pages of a tablet app: /, /sw.js and /r/<release>/…"""
    pages = Blueprint("shell", __name__)

    def answer(file: File, keep: str) -> AnyResponse:
        headers = {"Cache-Control": keep, "Vary": "Accept-Encoding"}
        data = file.data
        # A first visit over a slow phone network is the whole app: a third of the bytes matters.
        if file.shrinks and "gzip" in request.accept_encodings:
            data = file.packed
            headers["Content-Encoding"] = "gzip"
        response = Response(data, content_type=file.type, headers=headers)
        response.add_etag()
        return response.make_conditional(request)

    @pages.after_request
    def guard(response: AnyResponse) -> AnyResponse:
        for name, value in HEADERS.items():
            response.headers[name] = value
        return response

    @pages.get("/")
    def page() -> AnyResponse:
        if elsewhere := by_name(request):
            return redirect(elsewhere)
        return answer(releases.now().files["/"], EACH_TIME)

    @pages.get("/sw.js")
    def script() -> AnyResponse:
        return answer(releases.now().script, EACH_TIME)

    @pages.get("/r/<name>/<path:path>")
    def file(name: str, path: str) -> AnyResponse:
        found = releases.find(f"/r/{name}/{path}")
        if found is None:
            abort(404)
        return answer(found, FOR_EVER)

    return pages
