"""The tablet's real screens with a language as it stands now, drafts among them; nothing there is real or kept."""

import json

from flask import Response, render_template, request, url_for

from checklist.shell import POLICY
from checklist.translation.checks import can_be_drawn
from checklist.translation.folder import Folder
from checklist.translation.one_line import on_one_line
from checklist.translation.source import SOURCE
from checklist.web.language_parts import languages, opened
from checklist.web.parts import parts

# The sheets of the tablet app stand in its own page; the preview is drawn with just these.
_PAGE = "/"
# A frame of this very site, which may do what the tablet may.
_POLICY = POLICY.replace("frame-ancestors 'none'", "frame-ancestors 'self'")


@languages.get("/<tag>/preview")
def preview(tag: str) -> str:
    """Show the tablet in a frame: walk through it, or look where one text stands."""
    folder, name = opened(tag), request.args.get("name", "")
    entry = folder.source.get(name)
    return render_template(
        "language_preview.html", language=folder.language, name=name if entry else "", entry=entry,
        frame=url_for("station.languages.frame", tag=tag, name=name if entry else None),
    )


@languages.get("/<tag>/preview/frame")
def frame(tag: str) -> Response:
    """Give the page in the frame: the tablet's sheets, and the script that draws its screens."""
    folder, name = opened(tag), request.args.get("name", "")
    told = {
        "base": f"/r/{parts().release}/", "tag": tag, "pack": url_for("station.languages.frame_words", tag=tag),
        "name": name if name in folder.source else "", "english": folder.source[name].text if name in folder.source else "",
        "missing": parts().pack.text("languages.preview.missing"),
    }
    page = render_template("language_frame.html", language=folder.language, told=told, sheets=_sheets())
    response = Response(page, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = _POLICY
    return response


@languages.get("/<tag>/preview/words.json")
def frame_words(tag: str) -> Response:
    """Give the language as the tablet reads a draft: every text that a screen can draw at all."""
    return Response(json.dumps(_draft(opened(tag)), ensure_ascii=False), content_type="application/json")


def _draft(folder: Folder) -> dict:
    language, found = folder.language, {}
    for name, entry in folder.source.items():
        forms = folder.forms(name)
        if forms and not folder.before(name) and can_be_drawn(entry, forms, language):
            found[name] = on_one_line(forms[0] if entry.plural is None else forms, language)
    names = ("name", "dir", "script", "sample", "decimal", "order", "units", "plural")
    return {name: getattr(language, name) for name in names} | {
        "lang": language.tag, "fallback": [SOURCE], "kind": "draft", "m": found, "lists": {}, "voice": {},
    }


def _sheets() -> list[str]:
    """List the sheets of the tablet's own page, in its order."""
    release = parts().releases.last
    page = release.files[_PAGE].data.decode()
    return [piece.split('"')[0] for piece in page.split('<link rel="stylesheet" href="')[1:]]
