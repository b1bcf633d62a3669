"""A second thing that only the owner has: six digits that a phone counts out every half minute.

The times and lengths are those of RFC 6238, which every such phone app keeps to. A
code is worth something once.
"""

import hmac
import sqlite3

import pyotp

from checklist import trail

STEP_MS = 30_000
# A phone's clock may be one step behind or ahead.
SLACK = (-1, 0, 1)
ISSUER = "Vacuum Birth Checklist"


def new_secret() -> str:
    """Make a secret, 160 random bits in base32, to be typed into the phone."""
    return pyotp.random_base32()


def address(secret: str, name: str) -> str:
    """Write the address that hands a secret over to an app on the same phone."""
    return pyotp.TOTP(secret).provisioning_uri(name=name, issuer_name=ISSUER)


def step_of(secret: str, code: str, now: int) -> int | None:
    """Give the half minute that a code belongs to, or None when it is wrong; now: wall ms."""
    said = "".join(code.split())
    here, found = now // STEP_MS, None
    for step in (here + slack for slack in SLACK):
        right = pyotp.TOTP(secret).at(step * STEP_MS // 1000)
        if hmac.compare_digest(right.encode(), said.encode()):
            found = step
    return found


def use(connection: sqlite3.Connection, account_no: int, step: int) -> bool:
    """Use up the code of a half minute; False when it, or a later one, was used already."""
    done = connection.execute(
        "update account set second_step = ? where account_no = ? and second_step < ?",
        (step, account_no, step),
    )
    return done.rowcount == 1


def keep(connection: sqlite3.Connection, account: dict, secret: str, step: int, now: int) -> None:
    """Ask for codes of this secret from now on; "" asks for none any more."""
    connection.execute(
        "update account set second = ?, second_step = ? where account_no = ?",
        (secret, step, account["account_no"]),
    )
    what = "second_set" if secret else "second_ended"
    trail.note(connection, account["name"], what, account["name"], now)
