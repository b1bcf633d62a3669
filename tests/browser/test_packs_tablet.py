"""Words that come into force at the station reach the tablet by its usual update, never during a birth."""

import json
import time

import pytest
from playwright.sync_api import Page, expect

from checklist import packs
from checklist import station as own
from checklist.tables import STATIC
from tests.browser.app import expect_begun, open_app
from tests.browser.posts import Place
from tests.midwife import PATIENCE_MS
from tests.pseudo import longer
from tests.server.packs_made import CLIP, ENGLISH, TAG, a_pack, by_digest
from tests.servers import Served

WORDS = {name: longer(text) for name, text in ENGLISH.items()}
EXCHANGE = "window.dispatchEvent(new Event('online'))"
RELEASE = "document.documentElement.dataset.release"
STAGED = """async () => {
  while (!(await navigator.serviceWorker.getRegistration()).waiting) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
KEPT = """async (path) => {
  const base = document.querySelector("script[type=module]").src.replace("app.js", "");
  for (const name of await caches.keys()) {
    const held = await (await caches.open(name)).match(new URL(base + path).pathname);
    if (held) return Array.from(new Uint8Array(await held.arrayBuffer()));
  }
  return null;
}"""


@pytest.fixture
def place(tmp_path):
    """A post whose station serves the real app."""
    served = Served()
    place = Place(served, STATIC, tmp_path / "data")
    place.start()
    yield place
    served.kill()


def put_in_force(place: Place, body: bytes, *clips: bytes) -> None:
    """Put a pack in force, as a person at the station would, while it runs."""

    def work(store) -> None:
        now = time.time_ns() // 1_000_000
        packs.keep(store, own.found(store, now), body, by_digest(*clips), "Asha", now)

    place.write(work)


def begun(place: Place, context) -> Page:
    """Open the tablet and wait until all that is kept was found whole."""
    page = open_app(context, place.url).page
    expect(page.locator("html[data-settled]")).to_be_attached(timeout=PATIENCE_MS)
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    return page


def take(page: Page) -> None:
    """Take the update that the first screen offers; the page starts anew in it."""
    first = page.evaluate(RELEASE)
    update = page.locator('[data-key="update"]')
    expect(update).to_be_visible(timeout=PATIENCE_MS)
    with page.expect_navigation(timeout=PATIENCE_MS):
        update.click()
    expect_begun(page)
    assert page.evaluate(RELEASE) != first


def languages(page: Page) -> list[str]:
    """Give the languages that the settings offer."""
    page.locator('[data-key="settings"]').click()
    page.locator('[data-key="theme-day"]').wait_for()
    found = page.locator('[data-key^="language-"]').evaluate_all("keys => keys.map(key => key.dataset.key)")
    return [key.removeprefix("language-") for key in found]


def test_one_exchange_brings_the_words_and_their_voice(place, context):
    page = begun(place, context)
    put_in_force(place, a_pack(WORDS, {"app.failed": CLIP}), CLIP)

    page.evaluate(EXCHANGE)

    take(page)
    assert TAG in languages(page)
    page.locator(f'[data-key="language-{TAG}"]').click()
    expect(page.locator(f'html[lang="{TAG}"]')).to_be_attached(timeout=PATIENCE_MS)
    expect_begun(page)
    place.stop()
    page.reload()
    expect_begun(page)
    assert page.locator("html").get_attribute("lang") == TAG
    digest = next(iter(by_digest(CLIP)))
    assert bytes(page.evaluate(KEPT, f"voice/{digest}.webm")) == CLIP
    assert bytes(page.evaluate(KEPT, "contents.json")).find(TAG.encode()) > 0


def test_words_wait_while_a_birth_is_open(place, context):
    page = begun(place, context)
    page.locator('[data-key="start"]').click()
    expect(page.locator("body[data-page=before]")).to_be_attached(timeout=PATIENCE_MS)
    first = page.evaluate(RELEASE)
    put_in_force(place, a_pack(WORDS))

    page.evaluate(EXCHANGE)
    page.evaluate(STAGED)
    page.reload()
    expect_begun(page)

    assert page.evaluate(RELEASE) == first
    assert page.locator('[data-key="update"]').count() == 0
    held = json.loads(bytes(page.evaluate(KEPT, "contents.json")))
    assert TAG not in [one["tag"] for one in held["packs"]]
