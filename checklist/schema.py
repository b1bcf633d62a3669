"""The numbered migrations of the station's SQLite file.

Additive only: a released migration is never edited, it is followed by another.
"""

import sqlite3
from pathlib import Path

from sqlite_utils import Database, Migrations

from checklist import schema_accounts, schema_hub, schema_packs, schema_review, schema_stick

migrations = Migrations("station")

BUSY_WAIT_S = 10
# 64 MiB of pages may be mapped instead of copied; more helps no query measured.
MAPPED_BYTES = 64 * 1024 * 1024


def connect(path: Path, *, read_only: bool = False) -> sqlite3.Connection:
    """Open the file so that a commit is on the disk when it returns."""
    connection = sqlite3.connect(
        path, timeout=BUSY_WAIT_S, isolation_level=None, check_same_thread=False
    )
    connection.row_factory = sqlite3.Row
    connection.execute("pragma journal_mode = wal")
    connection.execute("pragma synchronous = full")
    connection.execute("pragma foreign_keys = on")
    connection.execute(f"pragma mmap_size = {MAPPED_BYTES}")
    if read_only:
        connection.execute("pragma query_only = on")
    return connection


def migrate(connection: sqlite3.Connection) -> None:
    """Bring the file to the newest schema; running it again changes nothing."""
    migrations.apply(Database(connection))


@migrations()
def m001_know_who_sends(db: Database) -> None:
    """Keep the station's own key, the devices, and which device owns a log."""
    db.table("station").create(
        {
            "station_id": str,
            "private_key": str,
            "log": str,
            "incarnation": str,
            "made_at": int,
        },
        pk="station_id",
        not_null={"private_key", "log", "incarnation", "made_at"},
    )
    db.table("device").create(
        {
            "device_id": str,
            "public_key": str,
            "name": str,
            "state": str,
            "asked_at": int,
            "settled_at": int,
        },
        pk="device_id",
        not_null={"public_key", "name", "state", "asked_at"},
    )
    db.table("log").create(
        {"log_no": int, "log": str, "device_id": str},
        pk="log_no",
        not_null={"log", "device_id"},
        foreign_keys=[("device_id", "device", "device_id")],
    )
    db.table("log").create_index(["log"], unique=True)
    db.table("log").create_index(["device_id"])


@migrations()
def m002_keep_events(db: Database) -> None:
    """Keep lines as they came; (log, seq) may hold two hashes: that is a fork."""
    db.table("event").create(
        {
            "event_no": int,
            "log_no": int,
            "seq": int,
            "hash": bytes,
            "case_id": str,
            "line": str,
        },
        pk="event_no",
        not_null={"log_no", "seq", "hash", "case_id", "line"},
        foreign_keys=[("log_no", "log", "log_no")],
    )
    db.table("event").create_index(["log_no", "seq", "hash"], unique=True)
    db.table("event").create_index(["case_id"])
    for verb in ("update", "delete"):
        db.execute(
            f"create trigger event_has_no_{verb} before {verb} on event begin"
            " select raise(abort, 'events are kept as they came'); end"
        )


@migrations()
def m003_keep_proofs(db: Database) -> None:
    """Keep the signed header of every batch that brought something new."""
    db.table("batch").create(
        {
            "batch_no": int,
            "log_no": int,
            "seq": int,
            "n": int,
            "prev": bytes,
            "head": bytes,
            "device_id": str,
            "signature": str,
            "received_at": int,
        },
        pk="batch_no",
        not_null={"log_no", "seq", "n", "prev", "head", "device_id", "signature", "received_at"},
        foreign_keys=[("log_no", "log", "log_no"), ("device_id", "device", "device_id")],
    )
    db.table("batch").create_index(["log_no", "seq"])
    db.table("batch").create_index(["device_id", "received_at"])
    db.table("leaf").create(
        {"leaf_no": int, "log_no": int, "seq": int, "hash": bytes},
        pk="leaf_no",
        not_null={"log_no", "seq", "hash"},
        foreign_keys=[("log_no", "log", "log_no")],
    )
    db.table("leaf").create_index(["log_no", "hash"], unique=True)


@migrations()
def m004_sum_up_cases(db: Database) -> None:
    """Keep one row a case, rebuildable from its events, for pages with many cases."""
    db.table("case_summary").create(
        {
            "case_id": str,
            "post": str,
            "label": str,
            "mode": str,
            "opened_at": int,
            "last_at": int,
            "closed": int,
            "events": int,
            "protocol": str,
            "device_id": str,
        },
        pk="case_id",
        not_null={
            "post", "label", "mode", "opened_at", "last_at", "closed", "events",
            "protocol", "device_id",
        },
    )
    db.table("case_summary").create_index(["mode", "opened_at", "case_id"])
    db.table("case_summary").create_index(["mode", "post", "opened_at", "case_id"])


@migrations()
def m005_find_the_settings(db: Database) -> None:
    """Find what a station has set without walking through all else that it said."""
    db.execute(
        "create index event_set_post on event (log_no, seq)"
        " where case_id = '' and json_extract(line, '$.kind') = 'post_set'"
    )


# Each concern keeps its own steps beside it; their order here is the order they run in.
for step in (
    *schema_hub.STEPS, *schema_accounts.STEPS, *schema_review.STEPS, *schema_stick.STEPS,
    *schema_packs.STEPS,
):
    migrations()(step)
