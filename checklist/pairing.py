"""One-time codes: a person reads eight letters from one screen and types them on another.

The code itself never travels. The asker proves that it knows it, and the station
proves in return that the key it shows is its own; both by the code, stretched so
that whoever listens cannot try all codes while it is good.
"""

import hashlib
import hmac
import secrets
import sqlite3

# Crockford's base 32: no I, L, O or U, so that nothing is read as something else.
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 8
GOOD_FOR_MS = 10 * 60 * 1000
MOST_TRIES = 5
# In all, over the time that one code is good, whichever codes there are.
MOST_TRIES_IN_ALL = 20
# OWASP ASVS 5.0, appendix C: PBKDF2 with SHA-256 takes 600,000 rounds or more.
ROUNDS = 600_000
MADE, REFUSED, FULL = "made", "code_refused", "tries_full"
_READ_AS = str.maketrans({"O": "0", "I": "1", "L": "1", " ": "", "-": ""})


def new_code() -> str:
    """Draw a code: 40 bits from the system's source of chance."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


def stretch(code: str, station_id: str) -> bytes:
    """Turn a code as typed into what both sides reckon with; takes a moment on purpose."""
    plain = code.upper().translate(_READ_AS)
    return hashlib.pbkdf2_hmac("sha256", plain.encode(), f"code/1\n{station_id}".encode(), ROUNDS)


def proof(stretched: bytes, public_key: str, station_id: str) -> str:
    """Give what an asker with this key shows to the station."""
    return _mac(stretched, f"pair/1\n{public_key}\n{station_id}")


def answer(stretched: bytes, public_key: str, station_key: str) -> str:
    """Give what the station with its own key shows to the asker."""
    return _mac(stretched, f"paired/1\n{public_key}\n{station_key}")


def keep(connection: sqlite3.Connection, stretched: bytes, made_by: str, now: int) -> None:
    """Keep a code by what it stretches to; old ones go."""
    connection.execute("delete from code where ends_at < ?", (now - GOOD_FOR_MS,))
    connection.execute(
        "insert into code (stretched, made_by, made_at, ends_at, tries) values (?, ?, ?, ?, 0)",
        (stretched, made_by, now, now + GOOD_FOR_MS),
    )


def redeem(
    connection: sqlite3.Connection, public_key: str, station_id: str, shown: str, now: int
) -> tuple[str, bytes]:
    """Use up the code that a proof shows; gives (MADE, stretched), or (error code, b"").

    A wrong proof counts against every code that is good, since nobody can tell
    which was meant. It must be committed, so it is given and not raised.
    """
    connection.execute("delete from code_try where at < ? or at > ?", (now - GOOD_FOR_MS, now))
    (tries,) = connection.execute("select count(*) from code_try").fetchone()
    if tries >= MOST_TRIES_IN_ALL:
        return FULL, b""
    for row in _good(connection, now):
        if hmac.compare_digest(proof(row["stretched"], public_key, station_id), shown):
            connection.execute(
                "update code set used_by = ? where code_no = ?", (public_key, row["code_no"])
            )
            return MADE, row["stretched"]
    connection.execute("insert into code_try (at) values (?)", (now,))
    connection.executemany(
        "update code set tries = tries + 1 where code_no = ?",
        [(row["code_no"],) for row in _good(connection, now)],
    )
    return REFUSED, b""


def _good(connection: sqlite3.Connection, now: int) -> list[sqlite3.Row]:
    # A clock that was set back must not make an old code good again.
    return connection.execute(
        "select code_no, stretched from code where used_by is null and tries < ?"
        " and ends_at > ? and made_at <= ?",
        (MOST_TRIES, now, now),
    ).fetchall()


def _mac(stretched: bytes, text: str) -> str:
    return hmac.new(stretched, text.encode(), hashlib.sha256).hexdigest()
