"""Let an account in, or say no in the same words and the same time whatever was wrong."""

from typing import NamedTuple

from checklist import accounts, attempts, passwords, second_factor, sessions, trail
from checklist.journal import Journal


class Entered(NamedTuple):
    """What came of a try: the token of the new session, or how many ms to wait, or neither."""

    token: str
    wait_ms: int


def enter(
    journal: Journal, name: str, password: str, address: str, now: int, code: str = ""
) -> Entered:
    """Sign in with name, password and, where the account has a second factor, its code."""
    account, wait = _ask(journal, name, password, address, now, code)
    if account is None:
        return Entered("", wait)
    return Entered(sign_in(journal, account, address, now), 0)


def is_owner(
    journal: Journal, name: str, password: str, address: str, now: int, code: str | None = None
) -> Entered | None:
    """Give None when the password is right; otherwise what to say, and the next try is slower.

    With a code, that of the account's second factor must be right too.
    """
    account, wait = _ask(journal, name, password, address, now, code)
    return Entered("", wait) if account is None else None


def sign_in(journal: Journal, account: dict, address: str, now: int) -> str:
    """Begin a session for an account that has shown who it is; gives its token."""

    def work(store) -> str:
        trail.note(store.connection, account["name"], "signed_in", account["name"], now)
        return sessions.begin(store.connection, account["account_no"], address, now)

    return journal.write(work)


def _ask(
    journal: Journal, name: str, password: str, address: str, now: int, code: str | None = None
) -> tuple[dict | None, int]:
    """Give the account when its password is right, else None and how many ms to wait.

    code: of the second factor; None where only the password is asked.
    """
    who = attempts.subjects(name, address)
    wait = journal.write(lambda store: attempts.begin(store.connection, who, now))
    if wait:
        return None, wait
    account = accounts.by_name(journal.reader, name)
    # An account that is not there costs the same work, so that time tells nobody which names exist.
    is_right = passwords.is_right(account["password"] if account else "", password)
    if account and is_right and (code is None or _has_second(journal, account, code, now)):
        journal.write(lambda store: attempts.right(store.connection, who))
        return account, 0
    # What was typed as a name may be a password; only a name that exists is written down.
    target = account["name"] if account else ""
    journal.write(lambda store: trail.note(store.connection, "", "sign_in_refused", target, now))
    return None, 0


def _has_second(journal: Journal, account: dict, code: str, now: int) -> bool:
    if not account["second"]:
        return True
    step = second_factor.step_of(account["second"], code, now)
    return step is not None and journal.write(
        lambda store: second_factor.use(store.connection, account["account_no"], step)
    )
