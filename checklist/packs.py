"""Packs of words at this place: kept by their digest, one in force for each language, told downward.

A pack that came from the hub is told on in this station's own name, so that whoever
reports here listens to one voice alone. Knows no network.
"""

import sqlite3
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from checklist import device, outbox, pack_body, trail
from checklist.errors import ChecklistError
from checklist.station import Identity
from checklist.store import SqliteStore

KIND = "pack_made"


class Place(NamedTuple):
    """Where the hub said something: a place in one of its logs."""

    log: str = ""
    seq: int = 0


def keep(
    store: SqliteStore, identity: Identity, body: bytes, clips: Mapping[str, bytes], by: str, now: int
) -> str:
    """Keep a pack with its clips {digest: bytes}, put it in force and say so; gives its digest.

    Clips that are held already need not come along. Raises pack_malformed, or pack_torn
    when a clip is missing or is not what its digest says.
    """
    name = store_pack(store.connection, body, by, now)
    for digest, clip in clips.items():
        store_clip(store.connection, digest, clip)
    put_in_force(store, identity, name, now)
    trail.note(store.connection, by, KIND, f"{_tag(store.connection, name)} {name}", now)
    return name


def without(
    store: SqliteStore, identity: Identity, tag: str, ids: set[str], by: str, now: int
) -> str:
    """Withdraw lines of the pack in force, by a new pack that lacks them; gives its digest.

    Nobody has to agree: these lines stand in the source language again. Raises not_found.
    """
    row = store.connection.execute(
        "select body from pack_in_force join pack using (digest) where pack_in_force.tag = ?", (tag,)
    ).fetchone()
    pack = pack_body.read(row["body"]) if row else {"m": {}}
    gone = sorted(ids & set(pack["m"]))
    if not gone:
        raise ChecklistError("not_found", tag=tag)
    trail.note(store.connection, by, "lines_withdrawn", f"{tag} {' '.join(gone)}", now)
    body = pack_body.write(pack_body.without(pack, ids, by, now))
    return keep(store, identity, body, {}, by, now)


def in_force(connection: sqlite3.Connection) -> dict[str, str]:
    """Give {tag: digest} of the packs in force."""
    rows = connection.execute("select tag, digest from pack_in_force order by tag")
    return {row["tag"]: row["digest"] for row in rows}


def bodies(connection: sqlite3.Connection) -> dict[str, bytes]:
    """Give {tag: bytes} of the packs in force; one that was damaged where it lay is left out."""
    rows = connection.execute(
        "select pack_in_force.tag, digest, body from pack_in_force join pack using (digest)"
        " order by pack_in_force.tag"
    )
    return {row["tag"]: row["body"] for row in rows if pack_body.digest(row["body"]) == row["digest"]}


def body_in_force(connection: sqlite3.Connection, tag: str) -> bytes | None:
    """Give the bytes of the pack in force of one language; None when there is none, or it was damaged where it lay."""
    row = connection.execute(
        "select digest, body from pack_in_force join pack using (digest) where pack_in_force.tag = ?", (tag,)
    ).fetchone()
    return row["body"] if row and pack_body.digest(row["body"]) == row["digest"] else None


def history(connection: sqlite3.Connection, tag: str, *, before: int | None = None, size: int = 20) -> list[dict]:
    """List the packs of a language that were ever kept here, newest first, below a number."""
    rows = connection.execute(
        "select rowid as pack_no, digest, made_at, made_by, length(body) as bytes from pack"
        " where tag = ? and rowid < ? order by rowid desc limit ?",
        (tag, 2**62 if before is None else before, size),
    )
    return [dict(row) for row in rows]


def names(connection: sqlite3.Connection) -> dict[str, str]:
    """Give {tag: name in its own words} of the languages whose pack is in force."""
    return {tag: pack_body.read(body)["name"] for tag, body in bodies(connection).items()}


def held(connection: sqlite3.Connection, digest: str) -> bytes | None:
    """Give a pack or a clip by its digest, or None."""
    row = connection.execute(
        "select body from pack where digest = :digest union all"
        " select body from thing where digest = :digest",
        {"digest": digest},
    ).fetchone()
    return row["body"] if row else None


def lacking(connection: sqlite3.Connection, digest: str) -> list[str]:
    """List the clips that a held pack names and that are not held."""
    named = pack_body.clips_of(pack_body.read(held(connection, digest) or b""))
    known = "select 1 from thing where digest = ?"
    return [clip for clip in named if not connection.execute(known, (clip,)).fetchone()]


def store_pack(connection: sqlite3.Connection, body: bytes, by: str, now: int) -> str:
    """Keep the bytes of a pack without putting it in force; gives its digest; raises pack_malformed."""
    pack, digest = pack_body.read(body), pack_body.digest(body)
    connection.execute(
        "insert or ignore into pack (digest, tag, body, made_at, made_by) values (?, ?, ?, ?, ?)",
        (digest, pack["tag"], body, now, by),
    )
    return digest


def store_clip(connection: sqlite3.Connection, digest: str, clip: bytes) -> None:
    """Keep a clip; raises pack_torn when it is not what its digest says, or is too long."""
    if len(clip) > pack_body.LARGEST_CLIP or pack_body.digest(clip) != digest:
        raise ChecklistError("pack_torn", clip=digest)
    connection.execute("insert or ignore into thing (digest, body) values (?, ?)", (digest, clip))


def put_in_force(
    store: SqliteStore, identity: Identity, digest: str, now: int, heard: Place | None = None
) -> bool:
    """Put a whole pack in force and tell everyone below; gives whether that changed anything.

    heard: the word of the hub that is heeded by it. Raises pack_torn while a clip is missing.
    """
    connection = store.connection
    tag = _tag(connection, digest)
    if missing := lacking(connection, digest):
        raise ChecklistError("pack_torn", clip=missing[0])
    changed = in_force(connection).get(tag) != digest
    connection.execute(
        "insert into pack_in_force (tag, digest, since, heard_log, heard_seq)"
        " values (:tag, :digest, :now, '', 0) on conflict do update set digest = :digest,"
        " since = case when digest = :digest then since else :now end",
        {"tag": tag, "digest": digest, "now": now},
    )
    if heard:
        connection.execute(
            "update pack_in_force set heard_log = ?, heard_seq = ? where tag = ?", (*heard, tag)
        )
    if changed:
        for station_id in ("", *_below(connection)):
            tell(store, identity, station_id, now)
    return changed


def is_untold(connection: sqlite3.Connection, identity: Identity, station_id: str) -> bool:
    """Tell whether a station was not yet told of a pack in force, as one that joined later."""
    row = connection.execute(
        "select 1 from pack_in_force where not exists (select 1 from pack_said"
        "  where pack_said.tag = pack_in_force.tag and pack_said.digest = pack_in_force.digest"
        "  and pack_said.log = coalesce((select log from outbox_log where station_id = ?"
        "   order by made_at desc, rowid desc limit 1), ?)) limit 1",
        (station_id, "" if station_id else identity.log),
    ).fetchone()
    return row is not None


def tell(store: SqliteStore, identity: Identity, station_id: str, now: int) -> None:
    """Say to a station, or with "" to the tablets here, what is in force and was not said yet."""
    connection = store.connection
    log = outbox.outbox_for(store, identity, station_id, now)
    rows = connection.execute(
        "select pack.tag, pack.digest, length(body) as bytes, made_by"
        " from pack_in_force join pack using (digest) left join pack_said"
        "  on pack_said.log = ? and pack_said.tag = pack_in_force.tag"
        " where pack_said.digest is not pack_in_force.digest order by pack.tag",
        (log,),
    ).fetchall()
    for row in rows:
        facts = {"tag": row["tag"], "digest": row["digest"], "bytes": row["bytes"]}
        if row["made_by"]:
            facts["by"] = row["made_by"]
        outbox.say(store, identity, log, KIND, facts, now)
        connection.execute(
            "insert or replace into pack_said (log, tag, digest) values (?, ?, ?)",
            (log, row["tag"], row["digest"]),
        )


def find_damage(connection: sqlite3.Connection) -> Iterator[str]:
    """Name every pack and clip whose bytes are not those of its name."""
    for table in ("pack", "thing"):
        for row in connection.execute(f"select digest, body from {table}"):
            if pack_body.digest(row["body"]) != row["digest"]:
                yield f"{table} {row['digest']}: its bytes are not those of its name"


def _below(connection: sqlite3.Connection) -> list[str]:
    rows = connection.execute(
        "select device_id from device where kind in (?, ?) and state = ? order by device_id",
        (device.POST, device.HUB, device.ADMITTED),
    )
    return [row["device_id"] for row in rows]


def _tag(connection: sqlite3.Connection, digest: str) -> str:
    row = connection.execute("select tag from pack where digest = ?", (digest,)).fetchone()
    if row is None:
        raise ChecklistError("not_found", pack=digest)
    return row["tag"]
