"""The limits of a post: what is shipped, what the post set stricter, and who signed it."""

from flask import Blueprint, Response, abort, redirect, render_template, request, url_for

from checklist import device, limits_of
from checklist.core.tighten import read_changes, settable, write_changes
from checklist.errors import ChecklistError
from checklist.store import SqliteStore
from checklist.tables import protocol_in_force
from checklist.web import guard
from checklist.web.asked import whole
from checklist.web.forms import ActionForm
from checklist.web.parts import parts

LEVELS = ("caution", "stop")
HISTORY = 20
POSTS = 100
LONGEST_VALUE = 6
# The units of a protocol's limits by their names in a language's table.
UNITS = {"min": "min", "kPa": "kpa", "beats/min": "bpm"}

limits = Blueprint("limits", __name__, url_prefix="/limits")
guard.protect(limits, "lead")


@limits.get("")
def show() -> str:
    """Show every limit with what is shipped, its outer bound and the post's own."""
    return _page(_typed_now(), {})


@limits.get("/posts")
def posts() -> str:
    """List the posts whose stations report here, each with a way to its limits."""
    skip = max(whole("skip", 0), 0)
    found = limits_of.posts(parts().journal.reader, skip=skip, size=POSTS + 1)
    more = skip + POSTS if len(found) > POSTS else None
    return render_template("limits_posts.html", posts=found[:POSTS], more=more)


@limits.post("")
def propose() -> str | Response | tuple[str, int]:
    """Draft stricter limits; what is refused stays as it was typed, with the reason."""
    if not ActionForm().validate_on_submit():
        abort(400)
    typed = {
        f"{row['id']}.{level}": request.form.get(f"{row['id']}.{level}", "").strip()[:40]
        for row in protocol_in_force()[1]["limits"] for level in settable(row)
    }
    refused = _refused_values(typed)
    if not refused:
        try:
            _propose(_changes(typed))
        except ChecklistError as error:
            if error.code != "limits_refused":
                raise
            refused = {error.facts["where"]: _why(error)}
    if refused:
        return _page(typed, refused), 422
    return _back(drafted=1)


@limits.post("/withdraw")
def withdraw() -> Response:
    """Draft the way back to the shipped limits; that too needs two persons."""
    _propose("")
    return _back(drafted=1)


@limits.post("/drop")
def drop() -> Response:
    """Throw the draft away."""
    station_id, by, now = _station(), guard.who(), parts().now()
    parts().journal.write(lambda store: limits_of.drop(store.connection, station_id, by, now))
    return _back()


@limits.post("/<int:limits_no>/sign")
def sign(limits_no: int) -> Response:
    """Sign a draft that somebody else made: it comes into force."""
    shared, station_id, by = parts(), _station(), guard.who()
    now = shared.now()

    def work(store: SqliteStore) -> None:
        limits_of.sign(store, shared.identity, station_id, limits_no, by, now)

    shared.journal.write(work)
    return _back(signed=1)


def _propose(changes: str) -> None:
    station_id, by, now = _station(), guard.who(), parts().now()
    post = _post_name(station_id)
    parts().journal.write(
        lambda store: limits_of.propose(store.connection, station_id, post, changes, by, now)
    )


def _page(typed: dict[str, str], refused: dict[str, str]) -> str:
    reader, station_id = parts().journal.reader, _station()
    before = whole("before")
    signed = limits_of.history(reader, station_id, before=before, size=HISTORY + 1)
    return render_template(
        "limits.html", rows=_rows(typed, refused), refused=refused, station_id=station_id,
        post=_post_name(station_id), in_force=limits_of.in_force(reader, station_id),
        draft=limits_of.draft(reader, station_id), signed=signed[:HISTORY],
        older=signed[HISTORY - 1]["number"] if len(signed) > HISTORY else None,
        has_posts=bool(limits_of.posts(reader, size=1)),
        action=ActionForm(formdata=None), protocol=protocol_in_force(), told=_told,
    )


def _rows(typed: dict[str, str], refused: dict[str, str]) -> list[dict]:
    """Give each limit as the page shows it: {name, unit, outer, sources, known, cells}."""
    table, found = protocol_in_force()[1], []
    for row in table["limits"]:
        bounds = settable(row)
        cells = []
        for level in LEVELS:
            name = f"{row['id']}.{level}"
            cells.append({
                "name": name if level in bounds else None, "level": level,
                "shipped": parts().pack.listed(_shipped(row, level)),
                "loosest": bounds.get(level, {}).get("loosest"),
                "least": bounds.get(level, {}).get("least"),
                "typed": typed.get(name, ""), "refused": refused.get(name),
            })
        found.append({
            "name": _name(row["id"]), "unit": _unit(row["unit"]), "outer": row["outer"], "known": row["known"],
            "sources": [table["sources"][one]["title"] for one in row["source"]], "cells": cells,
        })
    return found


def _unit(named: str) -> str:
    """Give the sign of a unit in the language of the page; what is counted is told by the name of its limit."""
    return parts().pack.units.get(UNITS.get(named, ""), "")


def _shipped(row: dict, level: str) -> list[str]:
    if row["judge"] == "rate" and level == "caution":
        return [f"< {row['low']}", f"> {row['high']}"]
    if row["judge"] not in ("count", "time", "suction"):
        return []
    return [str(one["at"]) for one in row["levels"] if one["level"] == level and one["at"]]


def _typed_now() -> dict[str, str]:
    """Give what stands in the fields at first: the draft, or what is in force."""
    reader, station_id = parts().journal.reader, _station()
    row = limits_of.draft(reader, station_id) or limits_of.in_force(reader, station_id)
    return {f"{i}.{level}": str(value) for i, level, value in read_changes(row["changes"])} if row else {}


def _refused_values(typed: dict[str, str]) -> dict[str, str]:
    said = parts().pack.text("limits.why.malformed")
    return {
        name: said for name, value in typed.items()
        if value and not (value.isascii() and value.isdigit() and len(value) <= LONGEST_VALUE)
    }


def _changes(typed: dict[str, str]) -> str:
    """Leave out what is empty or as shipped, so that one wish has one spelling."""
    loosest = {
        f"{row['id']}.{level}": bound["loosest"]
        for row in protocol_in_force()[1]["limits"] for level, bound in settable(row).items()
    }
    values = {name: int(value) for name, value in typed.items() if value}
    return write_changes({name: value for name, value in values.items() if value != loosest[name]})


def _why(error: ChecklistError) -> str:
    return parts().pack.text(f"limits.why.{error.facts['why']}", bound=error.facts.get("bound", ""))


def _name(limit: str) -> str:
    """Name a limit; one of a newer protocol may have no name yet, and its id says which it is."""
    pack, name = parts().pack, f"settings.limit.{limit}"
    return pack.text(name) if name in pack else limit


def _told(changes: str) -> str:
    """Say changes in words: "Minutes since the cup first went on, stop: 15"."""
    pack = parts().pack
    pieces = [
        f"{pack.listed([_name(limit), pack.text(f'level.{level}')])}: {value}"
        for limit, level, value in read_changes(changes)
    ]
    return pack.listed(pieces, "app.list_of_lists") or pack.text("limits.as_shipped")


def _station() -> str:
    """Give the station whose post is meant, "" for one's own; raises not_found."""
    station_id = request.args.get("station", "")
    if station_id in ("", parts().identity.station_id):
        return ""
    row = device.read(parts().journal.reader, station_id)
    if row is None or row["kind"] not in ("station", "hub"):
        raise ChecklistError("not_found", station=station_id)
    return station_id


def _post_name(station_id: str) -> str:
    if station_id:
        return device.read(parts().journal.reader, station_id)["name"] or station_id[:8]
    return parts().post.post or parts().identity.station_id[:8]


def _back(**told: int) -> Response:
    return redirect(url_for("station.limits.show", station=_station() or None, **told), 303)
