"""The bare loop that the hub is measured against: the same work, and nothing around it."""

import gzip
import hashlib
import json
import sqlite3
import sys
from pathlib import Path
from threading import Lock

from cheroot.wsgi import Server
from flask import Flask, request

from checklist import keys
from checklist.server import THREADS
from checklist.sync import Header

app = Flask(__name__)
_writing = Lock()
_database: list[sqlite3.Connection] = []


@app.post("/v1/logs/<log>/batches")
def admit(log: str) -> dict:
    """Take a batch whose key the sender names: unpack, read, chain, prove, commit."""
    first, *lines = gzip.decompress(request.get_data()).decode().split("\n")[:-1]
    said = json.loads(first)
    header = Header(*(said[name] for name in ("log", "seq", "n", "prev", "head", "device", "signature")))
    digest, rows = bytes.fromhex(header.prev), []
    for number, line in enumerate(lines):
        json.loads(line)
        digest = hashlib.sha256(digest + line.encode()).digest()
        rows.append((log, header.seq + number, digest, line))
    proven = keys.is_signed(request.headers["X-Key"], header.message, header.signature)
    if digest.hex() != header.head or not proven:
        return {"stored": 0}
    with _writing, _database[0]:
        _database[0].executemany("insert into event values (?, ?, ?, ?)", rows)
    return {"stored": len(rows)}


def main() -> None:
    """Serve from a folder until stopped; the first line printed is the address."""
    database = sqlite3.connect(Path(sys.argv[1], "bare.sqlite3"), check_same_thread=False)
    database.execute("pragma journal_mode = wal")
    database.execute("pragma synchronous = full")
    database.execute("create table event (log text, seq integer, hash blob, line text, primary key (log, seq, hash)) without rowid")
    _database.append(database)
    server = Server(("127.0.0.1", 0), app, numthreads=THREADS)
    server.prepare()
    print(f"http://127.0.0.1:{server.bind_addr[1]}", flush=True)
    server.serve()


if __name__ == "__main__":
    main()
