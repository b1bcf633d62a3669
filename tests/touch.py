"""Click a key of a page, in a browser without a window that now and then stops drawing."""

from playwright.sync_api import Locator, Page, TimeoutError

PATIENCE_MS = 15_000
FRAMES_MS = 2_000
PICTURE_MS = 5_000
_FRAMES = "() => (window.framesSeen = (window.framesSeen ?? 0) + 1) % 3 === 0"


def touch(key: Locator) -> None:
    """Click a key once it stands still; what cannot be clicked while the browser draws fails."""
    try:
        key.click(timeout=PATIENCE_MS)
    except TimeoutError:
        # To stand still is to be in one place for two frames, which a browser that draws none cannot tell.
        if draws(key.page):
            raise
        wake(key.page)
        # Where still no frame comes, nothing moves either: the key stands still.
        key.click(timeout=PATIENCE_MS, force=not draws(key.page))


def draws(page: Page) -> bool:
    """Tell whether the browser draws frames of a page."""
    try:
        page.wait_for_function(_FRAMES, polling="raf", timeout=FRAMES_MS)
    except TimeoutError:
        return False
    return True


def wake(page: Page) -> None:
    """Give the browser another size of the page to draw, and the old one again; then ask for a picture of it."""
    print(f"no frame was drawn of {page.url}")
    size = page.viewport_size
    page.set_viewport_size({**size, "height": size["height"] + 1})
    page.set_viewport_size(size)
    try:
        page.screenshot(timeout=PICTURE_MS)
    except TimeoutError:
        print("nor was a picture given")
