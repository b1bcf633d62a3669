"""Click a key of a page, in a browser without a window that now and then stops drawing."""

import os
import signal
from uuid import uuid4

from playwright.sync_api import Browser, Locator, Page, TimeoutError

PATIENCE_MS = 15_000
FRAMES_MS = 2_000
WAKES = 2
_STRUCK = """(key) => {
  key.scrollIntoViewIfNeeded();
  const { left, top, width, height } = key.getBoundingClientRect();
  const isFree = !key.disabled && key.contains(document.elementFromPoint(left + width / 2, top + height / 2));
  if (isFree) key.click();
  return isFree;
}"""
# Asked at once and then with each frame; counted anew each time, as a browser that draws one and stops again has not woken.
_FRAMES = "(asked) => (window[asked] = (window[asked] ?? 0) + 1) > 3"


def touch(key: Locator) -> None:
    """Click a key once it stands still; what cannot be clicked while the browser draws fails."""
    for _ in range(WAKES):
        try:
            key.click(timeout=PATIENCE_MS)
            return
        except TimeoutError:
            # To stand still is to be in one place for two frames, which a browser that draws none cannot tell.
            if draws(key.page):
                raise
        wake(key.page)
    if draws(key.page):
        key.click(timeout=PATIENCE_MS)
    else:
        # Where still no frame comes, nothing moves either: the key stands still, and is struck if nothing lies on it.
        assert key.evaluate(_STRUCK), f"something lies on {key}"


def draws(page: Page) -> bool:
    """Tell whether the browser draws frames of a page."""
    try:
        page.wait_for_function(_FRAMES, arg=f"frames-{uuid4()}", polling="raf", timeout=FRAMES_MS)
    except TimeoutError:
        return False
    return True


def wake(page: Page) -> None:
    """End the process that draws for the browser, which begins another by itself."""
    print(f"no frame was drawn of {page.url}")
    for process in drawing(page.context.browser):
        os.kill(process, signal.SIGKILL)


def drawing(browser: Browser) -> list[int]:
    """Give the process that draws for a browser by its number; none while another begins."""
    session = browser.new_browser_cdp_session()
    found = session.send("SystemInfo.getProcessInfo")["processInfo"]
    session.detach()
    return [process["id"] for process in found if process["type"] == "GPU"]
