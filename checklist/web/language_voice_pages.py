"""The voice of a language: record each sentence that is heard, and let a second person listen."""

from flask import Response, redirect, render_template, request, url_for
from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField
from wtforms.validators import InputRequired

from checklist.errors import ChecklistError
from checklist.translation.clips import MOST_BYTES, Clip, clip_keys, is_spoken
from checklist.translation.folder import Folder
from checklist.translation.lists import is_enough
from checklist.translation.turns import following
from checklist.web import guard
from checklist.web.forms import ActionForm, Form
from checklist.web.language_parts import languages, named, note, opened
from checklist.web.language_text_pages import samples
from checklist.web.local import is_loopback
from checklist.web.parts import parts

# The container says what it is within its first bytes, and the sound's coding stands in the head of its track.
_KIND, _CODING = b"webm", b"A_OPUS"
_HEAD = 4096


class ClipForm(Form):
    """A recording, and the word of its speaker."""

    clip = FileField(validators=[FileRequired()])
    consent = BooleanField(validators=[InputRequired()])


@languages.get("/<tag>/voice")
def voice(tag: str) -> str:
    """List every sentence that is heard, with the state of its recording."""
    folder = opened(tag)
    rows = [
        {"clip": clip, "entry": entry, "ready": is_enough(entry, folder.state(name)), "said": _said(folder, clip)}
        for name, entry in folder.source.items() if is_spoken(entry) for clip in folder.clips(name)
    ]
    return render_template("language_voice.html", language=folder.language, rows=rows, is_secure=_is_secure())


@languages.get("/<tag>/voice/<key>")
def clip(tag: str, key: str) -> str:
    """Show one sentence to record it, or to hear what somebody recorded."""
    return _page(opened(tag), key)


@languages.post("/<tag>/voice/<key>")
def record(tag: str, key: str) -> Response | tuple[str, int]:
    """Keep a recording, with its speaker's consent; a new one takes the place of the old."""
    who, folder, form = named(), opened(tag), ClipForm()
    found = _clip(folder, key)
    if not form.validate_on_submit():
        return _page(folder, key, form=form), 422
    data = form.clip.data.stream.read(MOST_BYTES + 1)
    if _KIND not in data[:64] or _CODING not in data[:_HEAD]:
        raise ChecklistError("clip_malformed", why="no_webm")
    folder.record(found.id, found.values, data, who, parts().now(), form.consent.data)
    note("voice_recorded", f"{tag} {key}")
    return redirect(url_for("station.languages.clip", tag=tag, key=key, kept=1), 303)


@languages.post("/<tag>/voice/<key>/heard")
def heard(tag: str, key: str) -> Response:
    """Keep that a recording says exactly its sentence; said by somebody who is not its speaker."""
    who, folder = named(), opened(tag)
    found, digest = _clip(folder, key), request.form.get("digest", "")
    if digest != found.digest:
        raise ChecklistError("review_refused", why="changed")
    folder.heard(found.id, found.values, digest, who, parts().now())
    note("voice_heard", f"{tag} {key}")
    left = following(folder, "hear", who)
    if left:
        return redirect(url_for("station.languages.clip", tag=tag, key=left, kept=1), 303)
    return redirect(url_for("station.languages.voice", tag=tag), 303)


@languages.get("/<tag>/voice/<key>/sound")
def sound(tag: str, key: str) -> Response:
    """Give the sound of a recording."""
    folder = opened(tag)
    found = _clip(folder, key)
    if not found.digest or not folder.clip_path(found.digest).is_file():
        raise ChecklistError("not_found", key=key)
    data = folder.clip_path(found.digest).read_bytes()
    # A player asks for pieces, so that one may listen to an end again.
    answer = Response(data, content_type="audio/webm")
    return answer.make_conditional(request, accept_ranges=True, complete_length=len(data))


def _page(folder: Folder, key: str, form: ClipForm | None = None) -> str:
    found, who = _clip(folder, key), guard.who()
    entry, forms = folder.source[found.id], folder.forms(found.id)
    hearing = folder.ledger.refusal(entry, forms, "heard", who, "", _named_by(folder, found)) if found.digest else "unrecorded"
    keys = [each for name, one in folder.source.items() if is_spoken(one) for each in clip_keys(one)]
    place = keys.index(key)
    return render_template(
        "language_clip.html", language=folder.language, entry=entry, clip=found, said=_said(folder, found), who_speaks=who,
        form=form or ClipForm(formdata=None), action=ActionForm(formdata=None), is_secure=_is_secure(), why_not=hearing,
        ready=is_enough(entry, folder.state(found.id)), kilobytes=MOST_BYTES // 1024, here=_here(folder.tag, key),
        following=keys[place + 1] if place + 1 < len(keys) else None, preceding=keys[place - 1] if place else None,
    )


def _clip(folder: Folder, key: str) -> Clip:
    """Find a sentence with its values by key; raises not_found."""
    name = key.partition("|")[0]
    if name in folder.source and is_spoken(folder.source[name]):
        for one in folder.clips(name):
            if one.key == key:
                return one
    raise ChecklistError("not_found", key=key)


def _said(folder: Folder, clip: Clip) -> list[tuple[str, bool]]:
    """Give the sentence with its values in it, in pieces."""
    entry = folder.source[clip.id]
    rows = samples(folder, entry, folder.forms(clip.id))
    place = list(clip_keys(entry)).index(clip.key)
    return rows[place] if place < len(rows) else []


def _named_by(folder: Folder, clip: Clip) -> dict:
    rows = folder.ledger.of(folder.source[clip.id], folder.forms(clip.id))
    row = next((row for row in reversed(rows) if row["act"] == "recorded" and row.get("clip") == clip.digest), {})
    return {"clip": clip.digest, "values": row.get("values")}


def _is_secure() -> bool:
    """Tell whether a browser lets this page near a microphone: over https, or at the very machine."""
    return request.is_secure or is_loopback(request.host.rpartition(":")[0] or request.host)


def _here(tag: str, key: str) -> str:
    """Give the address at which this page may record: the same machine by its own name."""
    return f"http://localhost:{parts().settings.port}{url_for('station.languages.clip', tag=tag, key=key)}"
