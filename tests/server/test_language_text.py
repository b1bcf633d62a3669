"""Writing one text: kept at once, judged by the machine, and lost by nobody."""

import re
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from checklist.errors import ChecklistError
from tests.server.language_desk import (
    HOME, MANY, NOTE, PULL, SAID, STOP, TAG, asha, ben, check, chidi, in_force, make_whole, room, settings, swahili, text_page, write,
)
from tests.server.pages import fill, see
from tests.server.people import an_account, quick_hashes, trail_of
from tests.server.tablet import ELSEWHERE

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]


def test_a_text_is_kept_with_who_wrote_it_and_how(asha, swahili, station):
    assert write(asha, NOTE, SAID[NOTE], "machine+edited").status_code == 303

    swahili.refresh()
    row = swahili.history(NOTE)[-1]
    assert swahili.forms(NOTE) == [SAID[NOTE]]
    assert (row["act"], row["by"], row["how"]) == ("written", "Asha", "machine+edited")
    assert trail_of(station)[-1] == ("Asha", "words_written", f"{TAG} {NOTE}")


def test_after_one_text_the_next_of_the_same_kind_is_at_hand(asha, swahili):
    reply = write(asha, STOP, SAID[STOP])

    page = asha.get(reply.location).text
    assert re.search(rf'href="{text_page(PULL)}">Go on with the next sentence', page)


def test_what_the_machine_finds_stands_on_the_page_after_saving(asha, swahili):
    write(asha, STOP, "Vuta  baada ya mivuto 4.")

    page = asha.get(text_page(STOP)).text
    assert "A number differs from the English." in page and "A space too many, or one at an end." in page
    assert "These words carry the meaning. Are all of them there?" in page


def test_the_page_shows_the_text_with_its_values_in_it(asha, swahili):
    write(asha, PULL, SAID[PULL])

    page = asha.get(text_page(PULL)).text
    assert 'Vuta <bdi dir="ltr">2</bdi>' in page.replace("\n", "")


@pytest.mark.parametrize(("typed", "why"), [("Asante\u2028sana", "U+2028"), ("", "")])
def test_what_is_refused_stands_where_it_was_typed(asha, swahili, typed, why):
    reply = write(asha, NOTE, typed)

    assert reply.status_code == 409
    assert typed in re.search(r"<textarea[^>]*>(.*?)</textarea>", reply.text, re.DOTALL)[1]
    assert why in re.search(r'<p role="alert">.*?</p>', reply.text, re.DOTALL)[0]
    swahili.refresh()
    assert swahili.forms(NOTE) == []


def test_two_people_at_once_lose_nothing(asha, ben, swahili):
    before = ben.get(text_page(NOTE)).text
    write(asha, NOTE, "Asante")

    reply = write(ben, NOTE, "Shukrani", page=before)

    assert reply.status_code == 409
    assert "Somebody else changed this text meanwhile." in reply.text
    assert "Asante" in reply.text and "Shukrani" in reply.text
    swahili.refresh()
    assert swahili.forms(NOTE) == ["Asante"]
    assert [row["forms"] for row in swahili.history(NOTE)] == [["Asante"], ["Shukrani"]]


def test_of_two_who_save_in_the_same_moment_one_comes_first_and_both_are_kept(asha, ben, swahili):
    tokens = {person: re.search(r'name="csrf_token" value="([^"]+)"', person.get(text_page(NOTE)).text)[1] for person in (asha, ben)}
    base, start = swahili.tgt(NOTE), Barrier(2)

    def save(person) -> int:
        start.wait()
        told = {"form0": f"Asante {person.name}", "how": "person", "base": base, "csrf_token": tokens[person]}
        return person.client.post(text_page(NOTE), data=told, environ_base=ELSEWHERE).status_code

    with ThreadPoolExecutor(2) as pool:
        answers = sorted(pool.map(save, (asha, ben)))

    swahili.refresh()
    assert answers == [303, 409]
    assert {row["forms"][0] for row in swahili.history(NOTE)} == {"Asante Asha", "Asante Ben"}


def test_after_a_clash_the_one_who_came_second_may_still_save(asha, ben, swahili):
    before = ben.get(text_page(NOTE)).text
    write(asha, NOTE, "Asante")
    shown = write(ben, NOTE, "Shukrani", page=before).text

    assert write(ben, NOTE, "Shukrani", page=shown).status_code == 303

    swahili.refresh()
    assert swahili.forms(NOTE) == ["Shukrani"]


@pytest.mark.parametrize("fields", [{"how": ""}, {"how": "angels"}, {"form0": "  "}, {"form0": "a" * 2001}, {"note": "n" * 401}])
def test_what_cannot_be_kept_is_refused_with_a_reason(asha, swahili, fields):
    reply = asha.post(text_page(NOTE), **{"form0": "Asante", "how": "person", "base": swahili.tgt(NOTE), **fields})

    assert reply.status_code == 409 and 'role="alert"' in reply.text
    swahili.refresh()
    assert swahili.forms(NOTE) == []


def test_markup_in_a_text_is_shown_as_text(asha, swahili):
    write(asha, NOTE, "<script>alert(1)</script>")

    page = asha.get(text_page(NOTE)).text
    assert "<script>alert" not in page and "Signs of a web page stand in the text." in page


def test_a_page_without_its_token_changes_nothing(asha, swahili):
    reply = asha.client.post(text_page(NOTE), data={"form0": "Asante", "how": "person", "base": swahili.tgt(NOTE)})

    assert reply.status_code == 400
    swahili.refresh()
    assert swahili.forms(NOTE) == []


def test_an_unknown_text_or_language_is_not_there(asha, swahili):
    assert asha.get(text_page("no.such")).status_code == 404
    assert asha.get(f"{HOME}/xx").status_code == 404
    assert asha.get(f"{HOME}/../text").status_code in (301, 302, 308, 404)


def test_boxes_say_their_language_and_direction(asha, room):
    room.add("ar")

    page = asha.get(f"{HOME}/ar/text/{NOTE}").text
    assert re.search(r'<textarea[^>]*lang="ar" dir="rtl"', page)


def test_every_plural_form_has_its_box_and_says_for_which_numbers(asha, room):
    room.add("ar")
    address = f"{HOME}/ar/text/{MANY}"
    page = asha.get(address).text
    forms = {f"form{place}": f"{{n}} سحبة {'ا' * place}".strip() for place in range(6)}

    reply = asha.post(address, **forms, how="person", base=re.search(r'name="base" value="([^"]*)"', page)[1])

    assert reply.status_code == 303
    assert page.count("<textarea") == 6 and "For 3, 4, 5, 6, 7, …" in page and "For 2<" in page
    assert room.open("ar").forms(MANY) == list(forms.values())
    assert '<bdi dir="ltr">11</bdi> سحبة اااا' in asha.get(address).text


def test_a_changed_english_shows_what_it_was_and_the_translation_stays_a_draft(asha, ben, swahili, settings, open_app):
    write(asha, NOTE, SAID[NOTE])
    check(ben, NOTE)
    path = settings.translations / "en" / "words" / "small.toml"
    path.write_text(path.read_text().replace("Thank you", "Thank you all"), encoding="utf-8")
    again = open_app()
    asha.client = again.test_client()
    asha.enter()

    page = asha.get(text_page(NOTE)).text
    assert "The English has changed since this was translated." in page
    assert re.search(r'class="words was"[^>]*>Thank you<', page) and SAID[NOTE] in page
    assert 'data-state="draft"' in page


def test_withdrawing_needs_a_reason_and_takes_the_line_out_of_the_pack_at_once(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    assert ben.post(f"{HOME}/{TAG}/pack").status_code == 303
    before = in_force(station)[TAG]

    assert asha.post(f"{text_page(STOP)}/withdraw", page=text_page(STOP), note="").status_code == 409
    assert in_force(station)[TAG] == before
    assert asha.post(f"{text_page(STOP)}/withdraw", page=text_page(STOP), note="It says push").status_code == 303

    assert in_force(station)[TAG] != before
    release = station.releases.now().name
    pack = asha.get(f"/r/{release}/packs/{TAG}.json").get_json()
    assert STOP not in pack["m"] and NOTE in pack["m"]
    swahili.refresh()
    assert swahili.state(STOP) == "draft"
    assert ("Asha", "words_withdrawn", f"{TAG} {STOP}: It says push") in trail_of(station)


def test_without_accounts_one_can_only_write_and_only_at_the_machine(client, app, station, room):
    folder = room.add(TAG)
    base = folder.tgt(NOTE)

    reply = fill(client, text_page(NOTE), form0="Asante", how="person", base=base)

    assert reply.status_code == 303
    folder.refresh()
    assert folder.forms(NOTE) == ["Asante"] and folder.history(NOTE)[-1]["by"] == "-"
    assert "can only write" in see(client, f"{HOME}/{TAG}")
    for page in (f"{text_page(NOTE)}/check", f"{HOME}/{TAG}/list/bedside/approve", f"{HOME}/{TAG}/pack"):
        assert fill(client, page, page=text_page(NOTE)).status_code == 403
    assert client.get(text_page(NOTE), environ_base={"REMOTE_ADDR": "192.168.4.7"}).status_code == 403


def test_what_nobody_in_particular_wrote_has_to_be_taken_up_by_somebody(client, app, station, room):
    folder = room.add(TAG)
    fill(client, text_page(NOTE), form0="Asante", how="person", base=folder.tgt(NOTE))
    asha = an_account(app, station, "Asha", "lead", "keeper")
    ben = an_account(app, station, "Ben", "lead")

    assert check(ben, NOTE).status_code == 409
    assert write(asha, NOTE, "Asante").status_code == 303
    assert check(asha, NOTE).status_code == 409
    assert check(ben, NOTE).status_code == 303

    folder.refresh()
    assert folder.state(NOTE) == "checked"


def test_a_supervisor_has_nothing_to_look_for_here(app, station, asha):
    dee = an_account(app, station, "Dee", "supervisor")

    assert dee.get(HOME).status_code == 403
    assert 'href="/station/languages"' not in dee.get("/station/").text


def test_a_wrong_line_leaves_the_pack_in_force_whatever_is_broken_in_the_folder(asha, ben, chidi, swahili, station, settings):
    make_whole(asha, ben, chidi)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")
    (settings.own_translations / TAG / "review.jsonl").write_text("nonsense\n")

    reply = asha.post(f"{text_page(STOP)}/withdraw", page=f"{HOME}/new", note="It says push")

    assert reply.status_code >= 400
    pack = asha.get(f"/r/{station.releases.now().name}/packs/{TAG}.json").get_json()
    assert STOP not in pack["m"] and NOTE in pack["m"]


def test_what_fails_at_the_pack_is_still_withdrawn_in_the_ledger(asha, ben, chidi, swahili, monkeypatch):
    make_whole(asha, ben, chidi)

    def broken(*_told):
        raise ChecklistError("data_unwritable")

    monkeypatch.setattr("checklist.packs.without", broken)
    reply = asha.post(f"{text_page(STOP)}/withdraw", page=f"{HOME}/new", note="It says push")

    swahili.refresh()
    assert reply.status_code >= 400 and swahili.state(STOP) == "draft"


def test_words_withdrawn_while_others_were_begun_are_not_in_use_when_they_are_written_again(asha, ben, chidi, swahili):
    make_whole(asha, ben, chidi)
    write(asha, STOP, "Acha baada ya mivuto 3.")
    asha.post(f"{text_page(STOP)}/withdraw", page=text_page(STOP), note="It says push")

    write(asha, STOP, SAID[STOP])

    swahili.refresh()
    assert swahili.state(STOP) == "draft"
