"""The second and third person: never the writer, every question answered, blind, and whole lists."""

import re
from html import unescape

from tests.server.language_desk import (
    HOME, NOTE, PULL, SAID, STOP, TAG, approve, approve_table, asha, asked, back_pages, ben, check, chidi, in_force, judge, make_whole, room,
    say_back, settings, swahili, text_page, write,
)
from tests.server.people import quick_hashes, trail_of

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]


def queue(person, tag=TAG) -> list[str]:
    """The kinds of work that a person is offered."""
    return re.findall(rf'href="{HOME}/{tag}/turn/([a-z_]+)"', person.get(HOME).text)


def test_the_writer_cannot_check(asha, swahili):
    write(asha, NOTE, SAID[NOTE])

    reply = check(asha, NOTE)

    assert reply.status_code == 409 and "You wrote this." in reply.text
    swahili.refresh()
    assert swahili.state(NOTE) == "draft"


def test_every_question_needs_an_answer_and_the_answers_are_kept(asha, ben, swahili):
    write(asha, STOP, SAID[STOP])
    questions = asked(ben, STOP)

    assert "answer.meaning-word" in questions
    reply = check(ben, STOP, **{"answer.meaning-word": " "})
    assert reply.status_code == 422 and "Something has no answer yet." in reply.text
    assert check(ben, STOP).status_code == 303

    swahili.refresh()
    row = swahili.history(STOP)[-1]
    assert row["act"] == "checked" and row["by"] == "Ben"
    assert {f"answer.{code}" for code in row["answers"]} == set(questions)


def test_a_text_that_changed_under_the_checker_is_not_checked(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE])
    old = re.search(r'name="tgt" value="([^"]*)"', ben.get(f"{text_page(NOTE)}/check").text)[1]
    write(asha, NOTE, "Ahsante")

    assert check(ben, NOTE, tgt=old).status_code == 409
    swahili.refresh()
    assert swahili.state(NOTE) == "draft"


def test_a_text_by_a_program_alone_has_to_be_taken_up_first(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE], "machine")

    assert "take_up" in queue(ben) and "check" not in queue(ben)
    assert "A program wrote this." in check(ben, NOTE).text
    assert write(asha, NOTE, SAID[NOTE], "machine+edited").status_code == 303
    assert check(ben, NOTE).status_code == 303


def test_nobody_is_offered_their_own_words(asha, ben, swahili):
    write(asha, STOP, SAID[STOP])

    assert "check" not in queue(asha) and "back" not in queue(asha)
    assert {"check", "back"} <= set(queue(ben))


def test_the_page_of_a_blind_reader_holds_nothing_of_the_english(asha, ben, chidi, swahili):
    write(asha, STOP, SAID[STOP])
    check(ben, STOP)

    listed = chidi.get(f"{HOME}/{TAG}/turn/back").text
    assert f">{SAID[STOP]}</a>" in chidi.get(f"{HOME}/{TAG}").text
    (address,) = back_pages(chidi)
    page = chidi.get(address).text

    for told in (listed, page):
        text = unescape(told)
        assert SAID[STOP] in text
        assert "Do not pull" not in text and "pulls" not in text and STOP not in text and "Rule" not in text
    assert "small" not in address


def test_who_checked_knows_the_english_and_cannot_read_blind(asha, ben, chidi, swahili):
    write(asha, STOP, SAID[STOP])
    address = back_pages(ben)[0]
    check(ben, STOP)

    assert back_pages(ben) == []
    reply = say_back(ben, address)
    assert reply.status_code == 409 and "You know the English" in reply.text
    assert say_back(chidi, address).status_code == 303


def test_a_reader_cannot_judge_and_a_difference_sends_the_text_back(asha, ben, chidi, swahili):
    write(asha, STOP, SAID[STOP])
    check(ben, STOP)
    say_back(chidi, back_pages(chidi)[0], "Pull after three pulls")

    assert judge(chidi, STOP).status_code == 409 and judge(asha, STOP).status_code == 409
    page = ben.get(f"{text_page(STOP)}/judge").text
    assert all(told in page for told in ("Do not pull after 3 pulls.", SAID[STOP], "Pull after three pulls"))
    assert judge(ben, STOP, "no").status_code == 303

    assert "does not say the same" in asha.get(text_page(STOP)).text
    assert "Do not pull after 3 pulls." in asha.get(f"{HOME}/{TAG}/turn/write").text
    assert judge(ben, STOP, "perhaps").status_code == 409


def test_a_list_is_approved_whole_by_somebody_who_wrote_none_of_it(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)

    swahili.refresh()
    assert {name: swahili.state(name) for name in SAID} == dict.fromkeys(SAID, "approved")
    assert swahili.readiness()["bedside"].ready
    assert ("Ben", "words_approved", f"{TAG} bedside: 3") in trail_of(station)


def test_the_page_of_a_list_holds_everything_that_is_approved_by_it(asha, ben, chidi, swahili):
    make_whole(asha, ben, chidi)

    page = unescape(ben.get(f"{HOME}/{TAG}/list/bedside").text)
    for told in ("Do not pull after 3 pulls.", SAID[STOP], SAID[NOTE], "Stop after three", "Asha", "Chidi"):
        assert told in page


def test_a_list_with_something_open_is_not_approved_at_all(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE])
    check(ben, NOTE)

    assert "This cannot be approved by you yet" in ben.get(f"{HOME}/{TAG}/list/bedside").text
    assert approve(ben).status_code == 409
    swahili.refresh()
    assert swahili.state(NOTE) == "checked"


def test_a_list_that_changed_since_its_page_was_drawn_is_not_approved(asha, ben, chidi, swahili):
    for name, said in SAID.items():
        write(asha, name, said)
        check(ben, name)
    while pages := back_pages(chidi):
        say_back(chidi, pages[0])
    for name in (STOP, PULL):
        judge(ben, name)
    seen = re.search(r'name="seen" value="([^"]*)"', ben.get(f"{HOME}/{TAG}/list/bedside").text)[1]
    write(asha, NOTE, "Ahsante")
    check(ben, NOTE)

    reply = ben.post(f"{HOME}/{TAG}/list/bedside/approve", page=f"{HOME}/new", seen=seen)

    assert reply.status_code == 409 and "Something changed meanwhile." in reply.text


def test_nothing_may_be_packed_until_a_list_is_whole(asha, ben, swahili, station):
    write(asha, NOTE, SAID[NOTE])
    check(ben, NOTE)

    page = asha.get(f"{HOME}/{TAG}/pack").text
    assert "Nothing here is ready yet." in page and f'<bdi>{STOP}</bdi></a> <span class="quiet">missing ' in page
    assert asha.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 409
    assert in_force(station) == {}


def test_a_pack_comes_into_force_with_its_name_its_maker_and_its_day(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)

    assert chidi.post(f"{HOME}/{TAG}/pack").status_code == 303

    digest = in_force(station)[TAG]
    page = asha.get(f"{HOME}/{TAG}/pack").text
    assert digest in page and "Chidi" in page
    release = station.releases.now().name
    pack = asha.get(f"/r/{release}/packs/{TAG}.json").get_json()
    assert pack["kind"] == "ready" and pack["m"][STOP] == SAID[STOP] and pack["lists"] == {"bedside": True}
    assert [row for row in trail_of(station) if row[1] == "pack_made"] == [("Chidi", "pack_made", f"{TAG} {digest}")]


def test_the_stations_own_pages_have_the_words_of_a_pack_in_force(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")

    station.releases.now()

    assert station.releases.packs[TAG].text(NOTE) == SAID[NOTE]
    assert station.releases.packs[TAG].text("limits.title", post="B") == "Limits of B"


def test_languages_that_nobody_speaks_are_neither_listed_nor_packed(asha, room, settings):
    from tests.pseudo import pseudo_translations

    folder = pseudo_translations(settings.data.parent / "pseudo")
    (settings.translations / "en-XA").mkdir()
    for path in (folder / "en-XA").rglob("*"):
        if path.is_file():
            target = settings.translations / "en-XA" / path.relative_to(folder / "en-XA")
            target.parent.mkdir(exist_ok=True)
            target.write_bytes(path.read_bytes())

    assert "en-XA" not in asha.get(HOME).text
    assert asha.post(f"{HOME}/en-XA/pack", page=f"{HOME}/new").status_code == 409


def test_a_judgement_that_differs_takes_an_approved_line_out_of_the_pack_in_force(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 303

    assert judge(ben, STOP, "no").status_code == 303

    swahili.refresh()
    assert swahili.state(STOP) == "draft"
    pack = asha.get(f"/r/{station.releases.now().name}/packs/{TAG}.json").get_json()
    assert STOP not in pack["m"] and NOTE in pack["m"]
    page = asha.get(f"{HOME}/{TAG}/pack").text
    assert "In the pack, with lines in the first language" in page and f"/text/{STOP}" in page


def test_a_judgement_of_other_words_leaves_those_in_force(asha, ben, chidi, swahili, station):
    make_whole(asha, ben, chidi)
    ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new")
    before = in_force(station)
    write(asha, STOP, "Vuta baada ya mivuto 3.")
    check(ben, STOP)
    say_back(chidi, back_pages(chidi)[0], "Pull after three")

    assert judge(ben, STOP, "no").status_code == 303

    assert in_force(station) == before


def test_a_judgement_of_a_back_translation_that_is_not_the_newest_is_refused(asha, ben, chidi, swahili):
    write(asha, STOP, SAID[STOP])
    check(ben, STOP)
    say_back(chidi, back_pages(chidi)[0])

    assert "Something changed meanwhile." in judge(ben, STOP, back="another").text
    assert judge(ben, STOP).status_code == 303


def test_what_a_machine_says_back_is_not_put_before_a_judge(asha, ben, swahili):
    write(asha, STOP, SAID[STOP])
    swahili.refresh()
    swahili.back(STOP, "a machine", 5, "Do not pull", "machine")

    assert ben.get(f"{text_page(STOP)}/judge").status_code == 409 and judge(ben, STOP).status_code == 409


def test_the_table_needs_a_second_eye_before_a_pack(asha, ben, chidi, swahili, station):
    swahili.change_table("Ben", 1)
    make_whole(asha, ben, chidi, table=chidi)
    swahili.refresh()
    swahili.change_table("Ben", 2, decimal=",")

    page = ben.get(f"{HOME}/{TAG}/pack").text
    assert "0,5" in page and "kPa" in page and "You wrote this." in page
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 409 and in_force(station) == {}
    assert approve_table(ben).status_code == 409 and approve_table(chidi).status_code == 303
    assert ben.post(f"{HOME}/{TAG}/pack", page=f"{HOME}/new").status_code == 303
