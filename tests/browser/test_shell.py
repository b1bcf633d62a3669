"""The app starts with the station gone, and no newer release takes an open case away."""

import time

from playwright.sync_api import Page, expect

from tests.browser.conftest import expect_begun, expect_ready, visit

VERIFY = "tablet.shell.verify()"


def release_of(page: Page) -> str:
    return page.get_attribute("body", "data-release")


def expect_heading(page: Page, text: str) -> None:
    expect(page.get_by_role("heading")).to_have_text(text, timeout=20_000)


def open_a_case(page: Page) -> None:
    page.get_by_role("button", name="Open case").click()
    page.get_by_role("button", name="Tap").click()
    expect(page.locator("#kept")).to_have_text("2")


def test_reload_and_new_page_work_with_the_station_killed(server, context):
    page = visit(context, server.url)
    expect_ready(page)
    server.kill()

    page.reload()
    expect_begun(page)
    open_a_case(page)
    other = visit(context, server.url + "/?from=elsewhere")

    expect(other.locator("#kept")).to_have_text("2")
    expect_ready(other)


def test_cold_start_works_after_quitting_and_after_a_crash(server, profile):
    page = visit(profile.start(), server.url)
    expect_ready(page)
    open_a_case(page)
    server.kill()
    profile.close()

    began = time.monotonic()
    page = visit(profile.start(), server.url)
    print(f"cold start off line, browser included: {time.monotonic() - began:.2f} s")
    expect(page.locator("#kept")).to_have_text("2")
    profile.kill()

    page = visit(profile.start(), server.url)
    expect(page.locator("#kept")).to_have_text("2")
    expect_ready(page)


def test_the_station_s_own_pages_are_not_answered_by_the_app(server, context):
    page = visit(context, server.url)
    expect_ready(page)

    page.goto(server.url + "/health")

    assert "release" in page.inner_text("body")


def test_an_update_waits_for_the_open_case(server, served, context, two):
    page = visit(context, server.url)
    expect_ready(page)
    open_a_case(page)
    first = release_of(page)
    served.start(two)

    page.evaluate("tablet.shell.look()")
    expect(page.locator("#update")).to_have_text("waits")
    page.reload()
    expect(page.locator("#kept")).to_have_text("2")
    assert release_of(page) == first
    served.kill()
    page.get_by_role("button", name="Close case").click()

    expect_heading(page, "Edition two")
    expect_ready(page)
    assert len(page.evaluate("caches.keys()")) == 1


def test_an_update_comes_at_once_when_no_case_is_open(server, served, context, two):
    page = visit(context, server.url)
    expect_ready(page)
    served.start(two)

    page.evaluate("tablet.shell.look()")

    expect_heading(page, "Edition two")


def test_a_case_open_in_another_page_holds_the_update(server, served, context, two):
    writer = visit(context, server.url)
    expect_ready(writer)
    reader = visit(context, server.url)
    expect(reader.locator("#role")).to_have_text("reader")
    open_a_case(writer)
    served.start(two)

    reader.evaluate("tablet.shell.look()")
    expect(reader.locator("#update")).to_have_text("waits")
    writer.get_by_role("button", name="Close case").click()

    for page in (reader, writer):
        expect_heading(page, "Edition two")


def test_a_crash_with_a_staged_update_resumes_the_same_release(server, served, profile, two):
    page = visit(profile.start(), server.url)
    expect_ready(page)
    open_a_case(page)
    first = release_of(page)
    served.start(two)
    page.evaluate("tablet.shell.look()")
    expect(page.locator("#update")).to_have_text("waits")
    served.kill()
    profile.kill()

    page = visit(profile.start(), server.url)
    expect(page.locator("#kept")).to_have_text("2")
    assert release_of(page) == first
    page.get_by_role("button", name="Close case").click()

    expect_heading(page, "Edition two")


def test_a_tampered_download_is_refused(server, served, context, two):
    page = visit(context, server.url)
    expect_ready(page)
    first = release_of(page)
    # A picture changed between the releases, so it must be downloaded.
    (two / "icons" / "icon-192.png").write_bytes((two / "icons" / "icon-512.png").read_bytes()[:-1])
    served.start(two, spoil="icon-192.png")

    page.evaluate("tablet.shell.look()")

    expect(page.locator("#update")).to_have_text("failed", timeout=20_000)
    page.reload()
    expect_ready(page)
    assert release_of(page) == first


def test_a_damaged_first_visit_is_never_called_ready(served, one, context):
    served.start(one, spoil="icon-192.png")

    page = visit(context, served.url)

    expect(page.locator("#shell")).to_have_text("not ready: refused", timeout=20_000)


SPOIL = """async ([end, body]) => {
  const cache = await caches.open((await caches.keys())[0]);
  const request = (await cache.keys()).find(({ url }) => url.endsWith(end));
  await cache.put(request, new Response(body, { headers: { "x-integrity": "x" } }));
}"""


def test_damage_in_the_cache_is_found_and_mended(server, context):
    page = visit(context, server.url)
    expect_ready(page)
    server.kill()
    page.evaluate(SPOIL, ["journal.js", "garbage"])

    page.evaluate(VERIFY)

    # The script came back from the worker's own copy, with the station away.
    expect(page.locator("#shell")).to_have_text("ready")
    page.reload()
    expect_ready(page)


def test_what_cannot_be_mended_off_line_is_said(server, served, one, context):
    page = visit(context, server.url)
    expect_ready(page)
    server.kill()
    page.evaluate(SPOIL, ["icon-192.png", "garbage"])

    page.evaluate(VERIFY)
    expect(page.locator("#shell")).to_have_text("not ready: damaged")
    assert [address.rsplit("/", 1)[1] for address in page.evaluate("tablet.bad")] == ["icon-192.png"]
    served.start(one)
    page.evaluate(VERIFY)

    expect_ready(page)


def test_a_destroyed_cache_still_starts_and_says_so(server, profile):
    page = visit(profile.start(), server.url)
    expect_ready(page)
    open_a_case(page)
    profile.close()
    server.kill()
    for file in (profile.path / "Default/Service Worker/CacheStorage").rglob("*"):
        if file.is_file():
            file.write_bytes(b"\0" * file.stat().st_size)

    page = visit(profile.start(), server.url)

    expect(page.locator("#kept")).to_have_text("2")
    expect(page.locator("#shell")).to_have_text("not ready: damaged", timeout=20_000)


def test_the_app_can_be_installed(server, profile):
    context = profile.start()
    page = visit(context, server.url)
    expect_ready(page)
    session = context.new_cdp_session(page)

    errors = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    manifest = session.send("Page.getAppManifest")

    assert errors == []
    assert manifest["errors"] == []


def test_the_content_policy_refuses_markup_and_plain_worker_addresses(server, browser):
    # Its own context: these refusals are what the other tests fail on.
    page = browser.new_context().new_page()
    page.goto(server.url)

    refused = page.evaluate("""() => Promise.all([
      () => { document.body.innerHTML = "<b>x</b>"; },
      () => window.trustedTypes.createPolicy("other", {}),
      () => navigator.serviceWorker.register("/sw.js"),
    ].map(async (deed) => { try { await deed(); return "done"; } catch (error) { return error.name; } }))""")

    assert refused == ["TypeError", "TypeError", "TypeError"]
    page.context.close()
