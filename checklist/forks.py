"""Find the logs that two tablets wrote under one name, as after a copy or a restored backup.

Both histories are kept; here is only what a person must hear of it. Knows no page.
"""

import json
import sqlite3

from checklist.device import TABLET

MOST = 20


def unsettled(connection: sqlite3.Connection) -> list[dict]:
    """List {device_id, name, heard_at} of logs with two ends that no tablet has left yet.

    A tablet that hears of it begins a new log and names the old one there; from
    then on there is nothing left to do. Newest first, at most twenty.
    """
    rows = connection.execute(
        "select log, log_no, device_id, name from forked join log using (log_no)"
        " join device using (device_id) where kind = ? order by log_no desc",
        (TABLET,),
    )
    found: list[dict] = []
    for row in rows:
        if row["log"] in _left(connection, row["device_id"]):
            continue
        (heard_at,) = connection.execute(
            "select max(received_at) from batch where log_no = ?", (row["log_no"],)
        ).fetchone()
        found.append({"device_id": row["device_id"], "name": row["name"], "heard_at": heard_at})
        if len(found) == MOST:
            break
    return found


def _left(connection: sqlite3.Connection, device_id: str) -> set[str]:
    """Give the logs that the device's other logs say to follow."""
    rows = connection.execute(
        "select line from event join log using (log_no) where device_id = ? and seq = 1",
        (device_id,),
    )
    facts = (json.loads(row["line"])["facts"] for row in rows)
    return {told["previous"] for told in facts if isinstance(told.get("previous"), str)}
