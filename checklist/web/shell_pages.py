"""Serve the tablet app: its page, its worker and the files of the release in force.

A release's files never change, so they may be kept for ever; the page and the
worker are asked for anew each time, since they are what names the release.
"""

import gzip
from functools import cache

from flask import Blueprint, Response, abort, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from checklist.shell import HEADERS, File, Release
from checklist.web.local import by_name

FOR_EVER = "public, max-age=31536000, immutable"
EACH_TIME = "no-cache"


def blueprint(release: Release) -> Blueprint:
    """Make the pages of one release: /, /sw.js and /r/<release>/…"""
    pages = Blueprint("shell", __name__)
    worker = File(release.worker, "text/javascript; charset=utf-8", "")

    @cache
    def compressed(address: str) -> bytes:
        file = worker if address == "/sw.js" else release.files[address]
        return gzip.compress(file.data, mtime=0)

    def answer(address: str, file: File, keep: str) -> AnyResponse:
        headers = {"Cache-Control": keep, "Vary": "Accept-Encoding"}
        data = file.data
        # A first visit over a slow phone network is the whole app: a third of the bytes matters.
        if file.shrinks and "gzip" in request.accept_encodings:
            data = compressed(address)
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
        return answer("/", release.files["/"], EACH_TIME)

    @pages.get("/sw.js")
    def script() -> AnyResponse:
        return answer("/sw.js", worker, EACH_TIME)

    @pages.get("/r/<name>/<path:path>")
    def file(name: str, path: str) -> AnyResponse:
        address = f"/r/{name}/{path}"
        if address not in release.files:
            abort(404)
        return answer(address, release.files[address], FOR_EVER)

    return pages
