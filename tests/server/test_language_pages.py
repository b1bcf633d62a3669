"""The languages of a station: a new one, known to a library or not, and what may be done next."""

import re

import pytest
from babel.localedata import locale_identifiers
from werkzeug.datastructures import MultiDict

from checklist import packs
from checklist.translation.start import new_table
from checklist.translation.table import TAG as A_TAG
from checklist.web.language_forms import LanguageForm, known, source_units
from tests.server.language_desk import (
    HOME, NOTE, SAID, STOP, TAG, asha, ben, check, chidi, make_whole, room, settings, swahili, text_page, write,
)
from tests.server.packs_made import a_pack
from tests.server.people import quick_hashes, trail_of

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]
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


def test_every_language_that_cldr_knows_can_begin_as_it_is_offered(app, asha):
    with app.test_request_context(NEW, method="POST"):
        refused = {}
        for tag in filter(A_TAG.fullmatch, locale_identifiers()):
            form = LanguageForm(MultiDict(known(new_table(tag, source_units()))), meta={"csrf": False}).offer()
            refused |= {} if form.validate() else {tag: form.errors}

    assert refused == {}


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


def test_one_damaged_language_says_so_in_its_row_and_hides_no_other(asha, room, swahili, settings):
    room.add("ar")
    (settings.own_translations / "ar" / "review.jsonl").write_text("nonsense\n")
    room.add("fr")
    (settings.own_translations / "fr" / "language.toml").write_text("half a ta")

    reply = asha.get(HOME)

    assert reply.status_code == 200 and f'href="{HOME}/{TAG}"' in reply.text
    assert f'href="{HOME}/ar"' not in reply.text and f'href="{HOME}/fr"' not in reply.text
    assert reply.text.count('role="alert"') == 2


def test_a_line_of_a_pack_from_elsewhere_is_withdrawn_by_its_id_alone(asha, station, room):
    other = "qaa"
    body = a_pack({NOTE: "Nafun.", STOP: "Ini tafo 3."}, tag=other)
    station.journal.write(lambda store: packs.keep(store, station.identity, body, {}, "the hub", 1))
    assert f'href="{HOME}/{other}/force"' in asha.get(HOME).text
    page = f"{HOME}/{other}/force"
    assert "Ini tafo 3." in asha.get(page).text and "Ini tafo 3." not in asha.get(f"{page}?word=nafun").text

    assert asha.post(f"{page}/{STOP}", page=page, note=" ").status_code == 409
    assert asha.post(f"{page}/{STOP}", page=page, note="It says push").status_code == 303

    assert "Ini tafo 3." not in asha.get(page).text and asha.post(f"{page}/{STOP}", page=page, note="Again").status_code == 404
    assert ("Asha", "words_withdrawn", f"{other} {STOP}: It says push") in trail_of(station)
    assert not (room.own / other).exists() and asha.get(f"{HOME}/xx/force").status_code == 404


def test_a_line_withdrawn_from_the_pack_is_withdrawn_where_it_was_checked(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")
    page = f"{HOME}/{TAG}/force"

    assert asha.post(f"{page}/{STOP}", page=page, note="It says push").status_code == 303

    swahili.refresh()
    assert swahili.state(STOP) == "draft"


def test_the_page_of_a_text_shows_the_words_in_force_where_others_stand(asha, ben, chidi, swahili):
    make_whole(asha, ben, chidi)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")
    write(asha, STOP, "Acha baada ya mivuto 3.")

    assert SAID[STOP] in asha.get(text_page(STOP)).text.partition('class="withdraw"')[2].partition("</details>")[0]
