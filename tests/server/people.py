"""People with accounts: make them, sign them in, let them fill forms."""

import re

import pytest
from argon2 import PasswordHasher

from checklist import accounts, passwords
from tests.server.tablet import ELSEWHERE

PASSWORD = "the river bends twice"


@pytest.fixture(autouse=True)
def quick_hashes(monkeypatch):
    """Spend little on hashes; one test of its own holds the real cost."""
    quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr(passwords, "HASHER", quick)
    passwords._nobody.cache_clear()
    yield
    passwords._nobody.cache_clear()


class Person:
    """One account in one browser, somewhere on the network."""

    def __init__(self, app, name: str) -> None:
        self.name = name
        self.client = app.test_client()

    def get(self, path: str):
        """Open a page."""
        return self.client.get(path, environ_base=ELSEWHERE)

    def post(self, path: str, page: str | None = None, **fields: object):
        """Send a form as the page offers it."""
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', self.get(page or path).text)
        return self.client.post(
            path, data={**fields, "csrf_token": found[1] if found else ""}, environ_base=ELSEWHERE
        )

    def enter(self, password: str = PASSWORD, then: str = ""):
        """Sign in."""
        return self.post(f"/station/account/enter{then}", name=self.name, password=password)


def an_account(app, station, name: str, *roles: str, now: int | None = None) -> Person:
    """Make an account, open its link and choose a password: the person is signed in."""
    person = Person(app, name)
    at = now or station.now()
    token = station.journal.write(
        lambda store: accounts.add(store.connection, name, roles, "", at)
    )
    reply = person.post(f"/station/account/link/{token}", chosen=PASSWORD, again=PASSWORD)
    assert reply.status_code == 303, reply.text
    return person


def trail_of(station) -> list[tuple[str, str, str]]:
    """Give who did what to what, in order."""
    rows = station.journal.reader.execute("select who, what, target from trail order by trail_no")
    return [tuple(row) for row in rows]


@pytest.fixture
def clock(station, monkeypatch):
    """Give a clock that a test moves on."""
    told = {"now": 1_790_000_000_000}
    monkeypatch.setattr(type(station), "now", staticmethod(lambda: told["now"]))
    return told


@pytest.fixture
def asha(app, station, clock):
    return an_account(app, station, "Asha", "supervisor", "keeper")
