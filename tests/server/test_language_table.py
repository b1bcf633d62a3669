"""The table of a language on its own page: what a lead may change, and the second eye on it."""

import html
import re

import pytest

from checklist.translation import table_review
from tests.server.language_desk import (
    AIR, HOME, MANY, NOTE, SAID, TAG, approve_table, asha, ben, check, chidi, in_force, make_whole, room, settings, swahili, text_page, write,
)
from tests.server.people import an_account, quick_hashes, trail_of

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]
PAGE = f"{HOME}/{TAG}/table"
FIELD = re.compile(r'<input[^>]*\bname="([^"]+)"[^>]*\bvalue="([^"]*)"')
CHOICE = re.compile(r'<select[^>]*\bname="([^"]+)".*?<option selected value="([^"]*)"', re.S)


def offered(person):
    """What the fields of the page hold."""
    page = person.get(PAGE).text
    form = page[page.index(f'action="{PAGE}"'):]
    told = dict(CHOICE.findall(form)) | {name: value for name, value in re.findall(r'name="([^"]+)"[^>]*value="([^"]*)"', form)}
    return {name: html.unescape(value) for name, value in told.items() if name != "csrf_token"}


def save(person, told=None, **changes):
    """Save the page as it is offered, with changes."""
    return person.post(PAGE, **{**(told or offered(person)), **changes})


def table(folder):
    """The table as it stands."""
    folder.refresh()
    return folder.language


def test_the_fields_hold_the_table_and_saving_it_as_it_stands_changes_nothing(asha, swahili, station):
    before, rows = table(swahili), len(trail_of(station))

    reply = save(asha)

    assert reply.status_code == 303 and "kept" not in reply.location and table(swahili) == before
    assert len(trail_of(station)) == rows
    assert table_review.refusal(swahili.ledger, table(swahili), "Asha") == ""


def test_a_lead_changes_what_may_be_changed(asha, swahili, station):
    reply = save(asha, name="Kiswahili sanifu", english="Swahili (TZ)", dir="rtl", script="Arab", sample="ںب", decimal=",",
                 order="nu", fallback="fr, en", **{"unit.min": "dak", "unit.kpa": "kilopaskali"})

    assert reply.status_code == 303
    now = table(swahili)
    assert (now.name, now.english, now.dir, now.script, now.sample) == ("Kiswahili sanifu", "Swahili (TZ)", "rtl", "Arab", "ںب")
    assert (now.decimal, now.order, now.fallback, now.units["min"], now.units["kpa"]) == (",", "nu", ("fr", "en"), "dak", "kilopaskali")
    who, what, target = trail_of(station)[-1]
    assert (who, what) == ("Asha", "table_changed") and {"sw", "dir", "units", "fallback"} <= set(target.split())
    page = asha.get(reply.location).text
    assert "From right to left" in page and "0,5" in page and "dak" in page


def test_tag_plural_rule_and_digits_stay_whatever_is_sent(asha, swahili):
    before = table(swahili)

    save(asha, name="Another", tag="fr", plural_forms="nplurals=1; plural=0;", digits="arab", **{"unit.furlong": "f"})

    now = table(swahili)
    assert now.name == "Another" and (now.tag, now.plural_forms, now.digits) == (before.tag, before.plural_forms, before.digits)
    assert "furlong" not in now.units


def test_a_changed_table_waits_for_somebody_else_and_the_pack_in_force_stays(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 303
    before = in_force(station)

    assert save(ben, **{"unit.min": "dakika"}).status_code == 303

    page = ben.get(PAGE).text
    assert "Nobody has approved it as it stands." in page and "You wrote this." in page and "Approve its table" not in page
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 409 and in_force(station) == before
    assert "Approve its table" in chidi.get(PAGE).text and approve_table(chidi).status_code == 303
    assert "<bdi>Chidi</bdi>" in asha.get(PAGE).text
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 303 and in_force(station) != before


def test_of_two_who_change_a_table_the_second_sees_what_stands(asha, ben, swahili):
    told = offered(ben)
    save(asha, name="Kimoja")

    reply = save(ben, told, name="Kingine")

    assert reply.status_code == 409 and "Kimoja" in reply.text and 'value="Kingine"' in reply.text
    assert "Somebody else changed this table meanwhile." in reply.text and table(swahili).name == "Kimoja"
    fresh = re.search(r'name="seen" value="([^"]*)"', reply.text[reply.text.index(f'action="{PAGE}"'):])[1]
    assert save(ben, told, name="Kingine", seen=fresh).status_code == 303 and table(swahili).name == "Kingine"


@pytest.mark.parametrize("wrong", [
    {"name": ""}, {"name": "x" * 61}, {"name": "a\u2028b"}, {"english": ""}, {"dir": "up"}, {"script": "arabic"}, {"sample": ""},
    {"decimal": ";"}, {"decimal": "\u066b"}, {"order": "x"}, {"fallback": "../../x"}, {"fallback": "en-XA"}, {"unit.kpa": ""},
    {"unit.kpa": "x" * 13}, {"unit.kpa": "a\x00"}, {"unit.kpa": "mmHg"},
])
def test_a_table_that_cannot_be_is_answered_and_nothing_is_kept(asha, swahili, wrong):
    before = table(swahili)

    reply = save(asha, **wrong)

    assert reply.status_code == 422 and 'role="alert"' in reply.text and table(swahili) == before


def test_white_space_of_any_kind_in_a_sign_is_kept_as_one_space(asha, swahili):
    assert save(asha, **{"unit.mmhg": "mm\u00a0\u202fya  Hg"}).status_code == 303
    assert table(swahili).units["mmhg"] == "mm ya Hg"


def test_two_units_of_one_sign_are_told_in_words(asha, swahili):
    assert "Two units have the same sign." in save(asha, **{"unit.kpa": "kizio", "unit.bar": "Kizio"}).text


def test_a_table_whose_file_lacks_a_sign_is_told_and_every_page_answers(asha, room, swahili):
    write(asha, AIR, "Hadi kPa 80")
    path = room.folder_of(TAG) / "language.toml"
    path.write_text(path.read_text().replace('"kPa"', '""'))

    pages = [asha.get(page) for page in (HOME, f"{HOME}/{TAG}", PAGE, f"{HOME}/{TAG}/all", text_page(AIR), f"{text_page(AIR)}/check")]
    assert [page.status_code for page in pages] == [200, 422, 422, 422, 422, 422]
    assert "no sign: kpa" in pages[0].text


def test_half_a_form_is_answered(asha, swahili):
    before = table(swahili)

    assert asha.post(PAGE).status_code == 422 and asha.post(PAGE, name="x", seen="x").status_code == 422
    assert table(swahili) == before


def test_findings_follow_the_table(asha, swahili):
    write(asha, "small.note", "Asante")
    assert "Most letters are of another script." not in asha.get(text_page("small.note")).text

    save(asha, script="Deva")

    page = asha.get(text_page("small.note")).text
    assert "Most letters are of another script." in page and "mend it there" in page


def test_a_text_that_a_row_of_the_table_shuts_out_leads_to_that_row(asha, ben, swahili):
    save(asha, **{"unit.kpa": "kilopaskali"})
    write(asha, AIR, "Hadi kilopaskali 80")
    check(ben, AIR)
    assert "this row of its table" not in asha.get(text_page(AIR)).text

    save(asha, **{"unit.kpa": "kPa"})

    link = f'By this row of its table: <a href="{PAGE}#unit.kpa">Signs of the units: <bdi lang="en">kPa</bdi></a>'
    for page in (text_page(AIR), f"{text_page(AIR)}/check"):
        shown = ben.get(page).text
        assert "A unit differs" in shown and link in shown and "If a row or a term named here is wrong, mend it there" in shown
    assert re.search(r'<input[^>]*id="unit.kpa"', ben.get(PAGE).text)
    save(asha, **{"unit.kpa": "kilopaskali"})
    assert "this row of its table" not in asha.get(text_page(AIR)).text


def test_a_text_that_is_wrong_by_itself_leads_to_no_table(asha, swahili):
    write(asha, AIR, "Hadi mmHg 80")

    page = asha.get(text_page(AIR)).text
    assert "A unit differs" in page and "this row of its table" not in page and "named here is wrong" not in page


def test_a_question_that_the_table_raises_says_that_it_is_new_and_leads_to_the_row(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE])
    check(ben, NOTE)
    assert "New since it was checked." not in ben.get(text_page(NOTE)).text

    save(asha, script="Deva")

    link = f'<a href="{PAGE}#script">Script: <bdi lang="en">Deva</bdi></a>'
    page = ben.get(text_page(NOTE)).text
    assert "New since it was checked." in page and link in page and "mend it there" in page
    page = ben.get(f"{text_page(NOTE)}/check").text
    assert link in page and "mend it there" in page and re.search(r'<input[^>]*id="script"', ben.get(PAGE).text)


def test_a_row_that_stays_is_named_without_a_way_to_change_it(asha, swahili):
    asha.post(text_page(MANY), form0="Vuta moja {n}", form1="Mivuto", how="person", base=swahili.tgt(MANY))

    page = asha.get(text_page(MANY)).text
    assert "By this row of its table: Plural rule: " in page and "digits and plural rule stay" in page and "mend it there" not in page


def test_plural_forms_are_shown_by_their_numbers(asha, swahili):
    assert "For 1<" in asha.get(PAGE).text and asha.get(text_page(MANY)).status_code == 200


def test_without_a_token_nothing_is_kept(asha, swahili):
    before, told = table(swahili), offered(asha)

    assert asha.client.post(PAGE, data={**told, "name": "Another"}).status_code == 400 and table(swahili) == before


def test_only_a_lead_sees_the_table(app, station, asha, swahili):
    keeper = an_account(app, station, "Kofi", "keeper", "supervisor")

    assert keeper.get(PAGE).status_code == 403
    assert keeper.post(PAGE, page="/station/account", name="x").status_code == 403
    assert asha.get(f"{HOME}/xx/table").status_code == 404


@pytest.mark.parametrize(("field", "told"), [
    ("unit.kpa", " "), ("unit.kpa", "\u00a0"), ("unit.kpa", "\u200b"), ("unit.kpa", "\u202ekPa"), ("unit.kpa", "k\u200bPa"), ("unit.kpa", "100"),
    ("unit.kpa", "{n}"), ("unit.kpa", "-"), ("unit.min", "<i>min</i>"), ("unit.min", "S"), ("unit.min", "\uff53"), ("unit.kpa", "mmHg"), ("unit.kpa", "mmhg"),
    ("name", " "), ("name", "\u200b"), ("english", "\u00a0"), ("sample", "a\u202eb"),
])
def test_a_sign_that_nobody_sees_or_that_means_something_else_is_refused(asha, swahili, field, told):
    before = table(swahili)

    assert save(asha, **{field: told}).status_code == 422
    assert table(swahili) == before
