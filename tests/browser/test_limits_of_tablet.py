"""Stricter limits on a real tablet: they come down, the next birth begins under them, an open one stays."""

import time

import pytest
from playwright.sync_api import expect

from checklist import limits_of
from checklist import station as own
from checklist.post_protocol import named
from checklist.tables import STATIC, protocol_in_force
from tests.browser.app import WORDS, expect_begun, kept_events, open_app
from tests.browser.posts import Place
from tests.midwife import PATIENCE_MS
from tests.servers import Served

BASE = protocol_in_force()[0]


@pytest.fixture
def place(tmp_path):
    served = Served()
    yield Place(served, STATIC, tmp_path / "data")
    served.kill()


def sign(place, changes):
    """Draft and sign limits as two people do; gives the name of the stricter protocol."""

    def work(store):
        now = time.time_ns() // 1_000_000
        identity = own.found(store, now)
        limits_of.propose(store.connection, "", "Hill post", changes, "Asha", now)
        draft = limits_of.draft(store.connection, "")
        limits_of.sign(store, identity, "", draft["limits_no"], "Ben", now)

    place.write(work)
    return named(BASE, changes)


def heard(page, number):
    """Exchange until the tablet has heard a set of limits; its settings then say so."""
    said = WORDS.text("settings.protocol.limits.set", n=number, post="Hill post", date="@", by="Asha", signed_by="Ben")
    for _ in range(60):
        page.locator('[data-key="settings"]').click()
        facts = page.locator('[data-setting="protocol"] .facts-of')
        expect(facts).to_be_visible(timeout=PATIENCE_MS)
        if said.split("@")[0] in facts.inner_text().replace("\u2068", "").replace("\u2069", ""):
            return facts.inner_text()
        page.locator('[data-key="back"]').click()
        page.wait_for_timeout(250)
    raise AssertionError(f"limits {number} were not heard of")


def test_limits_come_down_and_the_next_birth_begins_under_them(place, context):
    first = sign(place, "cup_minutes.stop=15")
    place.start()
    page = open_app(context, place.url).page

    assert first in heard(page, 1)
    page.locator('[data-key="back"]').click()
    page.locator('[data-key="start"]').click()
    page.wait_for_function("document.body.dataset.page === 'before'")

    opened = [event for event in kept_events(page) if event["kind"] == "case_opened"]
    assert [event["protocol"] for event in opened] == [first]
    second = sign(place, "cup_minutes.stop=12")
    page.reload()
    expect_begun(page)
    assert second != first
    page.wait_for_function("document.body.dataset.page === 'before'")
    page.locator("[data-key]").first.wait_for()
    page.locator('.answers [data-key]').first.click()
    page.wait_for_timeout(300)
    assert {event["protocol"] for event in kept_events(page) if event["case"]} == {first}
