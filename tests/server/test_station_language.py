"""The station's own pages: whole in the post's language once that is ready, else in English; a draft in a demo alone."""

from dataclasses import replace

import pytest

from checklist.language import load
from checklist.tables import TRANSLATIONS
from tests.server.pages import fill, see

ENGLISH, ARABIC = load(TRANSLATIONS, "en"), load(TRANSLATIONS, "ar")
SETTINGS = {"post": "Hill post", "altitude_m": "", "gauge_unit": "kpa", "same_contraction_s": "20", "language": "ar"}


@pytest.fixture
def page(open_app, settings):
    """Give the settings page of a station whose post speaks Arabic: page(ready=…, demo=…)."""

    def seen(**told) -> str:
        client = open_app(replace(settings, **told)).test_client()
        fill(client, "/station/settings", **SETTINGS)
        return see(client, "/station/settings")

    return seen


def test_a_draft_leaves_the_pages_whole_in_english(page):
    seen = page()

    assert '<html lang="en" dir="ltr">' in seen
    assert ENGLISH.text("station.nav.settings") in seen and ARABIC.text("station.nav.settings") not in seen


def test_a_ready_language_has_the_pages_whole_from_right_to_left(page):
    seen = page(ready=frozenset({"ar"}))

    assert '<html lang="ar" dir="rtl">' in seen
    assert ARABIC.text("station.nav.settings") in seen and ARABIC.text("app.draft") not in seen


def test_in_a_demo_a_draft_speaks_and_says_what_it_is(page):
    seen = page(demo=True)

    assert '<html lang="ar" dir="rtl">' in seen
    assert ARABIC.text("app.draft") in seen
