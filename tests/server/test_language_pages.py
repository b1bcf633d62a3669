"""The languages of a station: a new one, known to a library or not, and what may be done next."""

import re

import pytest

from tests.server.language_desk import HOME, NOTE, SAID, TAG, asha, ben, check, room, settings, swahili, write
from tests.server.people import quick_hashes, trail_of

__all__ = ["asha", "ben", "quick_hashes", "room", "settings", "swahili"]
NEW = f"{HOME}/new"
UNKNOWN = {
    "tag": "qaa", "name": "Tamasheɣ", "english": "Tamasheq", "dir": "rtl", "script": "Tfng", "sample": "ⵜⵎⵛ",
    "decimal": ",", "order": "un", "plural_forms": "nplurals=1; plural=0;", "fallback": "fr",
}


def test_what_is_known_of_a_language_stands_in_the_fields(asha):
    page = asha.get(f"{NEW}?tag=ar").text

    assert 'value="العربية"' in page and "nplurals=6" in page
    assert re.search(r'<option selected value="rtl">', page)


def test_a_language_that_no_library_knows_can_be_added(asha, room, station):
    reply = asha.post(NEW, **UNKNOWN)

    assert reply.status_code == 303 and reply.location.endswith("/languages/qaa")
    table = room.open("qaa").language
    assert (table.name, table.dir, table.decimal, table.order, table.fallback) == ("Tamasheɣ", "rtl", ",", "un", ("fr",))
    assert trail_of(station)[-1] == ("Asha", "language_added", "qaa Tamasheq")
    assert "Tamasheɣ" in asha.get(HOME).text


@pytest.mark.parametrize("wrong", [
    {"tag": "../x"}, {"tag": "en-XA"}, {"tag": "en"}, {"tag": ""},
    {"plural_forms": "nplurals=2; plural=__import__;"}, {"dir": "up"},
    {"fallback": "../../x"}, {"script": "arabic"}, {"name": ""}, {"sample": ""},
])
def test_a_table_that_cannot_be_is_refused_and_nothing_is_made(asha, room, wrong):
    assert asha.post(NEW, **{**UNKNOWN, **wrong}).status_code == 422
    assert room.languages() == []


def test_a_language_is_not_added_twice(asha, swahili):
    assert asha.post(NEW, **{**UNKNOWN, "tag": TAG}).status_code == 422


def test_the_overview_counts_the_states_and_says_what_one_may_do(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE])

    page = ben.get(HOME).text
    assert "No pack is in force." in page and "At the bed: not ready" in page
    assert re.search(r"/turn/check\">Check: 1<", page)
    check(ben, NOTE)
    assert "/turn/check" not in ben.get(HOME).text


def test_texts_are_found_by_word_and_by_state(asha, swahili):
    write(asha, NOTE, SAID[NOTE])

    assert "Sentences: 1<" in asha.get(f"{HOME}/{TAG}/all?word=asante").text
    assert "Sentences: 1<" in asha.get(f"{HOME}/{TAG}/all?list=bedside&state=draft").text
    assert "Sentences: 2<" in asha.get(f"{HOME}/{TAG}/all?list=bedside&state=missing").text
    assert asha.get(f"{HOME}/{TAG}/all?skip=99999999999999999999&list=nope&state=nope").status_code == 200


def test_the_dangerous_sentences_of_the_first_list_come_first(asha, swahili):
    page = asha.get(f"{HOME}/{TAG}/turn/write").text

    assert page.index("Do not pull after 3 pulls.") < page.index("Thank you<")
    assert asha.get(f"{HOME}/{TAG}/turn/nothing").status_code == 404


def test_only_these_pages_run_scripts_and_only_the_stations_own(asha, swahili):
    policy = asha.get(f"{HOME}/{TAG}").headers["Content-Security-Policy"]

    assert "script-src 'self'" in policy and "unsafe" not in policy
    assert "script-src" not in asha.get("/station/limits").headers["Content-Security-Policy"]


def test_the_preview_gives_every_draft_that_a_screen_can_draw(asha, swahili):
    write(asha, NOTE, SAID[NOTE])
    write(asha, "small.stop", "Usivute {oops}")

    pack = asha.get(f"{HOME}/{TAG}/preview/words.json").get_json()
    frame = asha.get(f"{HOME}/{TAG}/preview/frame?name={NOTE}")

    assert pack["m"] == {NOTE: SAID[NOTE]} and pack["kind"] == "draft"
    assert "frame-ancestors 'self'" in frame.headers["Content-Security-Policy"]
    assert asha.get(f"{HOME}/{TAG}/preview").status_code == 200
