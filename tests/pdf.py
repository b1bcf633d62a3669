"""Print a page of the app as its own button would, and read the sheets back."""

import io
import unicodedata

from playwright.sync_api import Page
from pypdf import PdfReader

A4_PT = (595, 842)


def sheets(page: Page) -> list[str]:
    """Print and give the text of each sheet; every sheet is A4."""
    printed = page.pdf(prefer_css_page_size=True, print_background=True)
    found = PdfReader(io.BytesIO(printed)).pages
    for sheet in found:
        size = tuple(round(float(side)) for side in (sheet.mediabox.width, sheet.mediabox.height))
        assert size == A4_PT, f"a sheet of {size} points"
    return [_plain(sheet.extract_text()) for sheet in found]


def _plain(text: str) -> str:
    """Without ligatures and line ends, so that a sentence is found wherever it breaks."""
    return " ".join(unicodedata.normalize("NFKC", text).split())
