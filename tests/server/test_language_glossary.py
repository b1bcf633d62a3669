"""The words of the trade on their own page: what they ask of sentences, and two leads at once."""

import html
import re

import pytest

from checklist.translation.obstacles import QUESTION
from tests.server.language_desk import (
    HOME, SAID, STOP, TAG, asha, ben, check, chidi, make_whole, room, settings, swahili, text_page, write,
)
from tests.server.people import an_account, quick_hashes, trail_of

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]
LIST = f"{HOME}/{TAG}/glossary"
TERM = f"{LIST}/term"


def seen(person, page):
    """The name of a term as its page shows it."""
    return re.search(r'name="seen" value="([^"]*)"', person.get(page).text)[1]


def save(person, en, forms, page=None, **more):
    """Save a term as its page offers it; a new one where no page is given."""
    told = {"en": en, "forms": forms, "note": "", "seen": seen(person, page or TERM), **more}
    return person.post(page or TERM, page=page or TERM, **told)


def take_out(person, en, was_seen):
    """Take a term out."""
    return person.post(f"{LIST}/out", page=TERM, en=en, seen=was_seen)


def terms(folder):
    """What the glossary holds now."""
    folder.refresh()
    return [(term.en, term.forms, term.note) for term in folder.glossary]


def test_a_term_is_added_asks_of_sentences_and_is_written_down(asha, ben, swahili, station):
    write(asha, STOP, SAID[STOP])
    assert check(ben, STOP).status_code == 303

    reply = save(asha, " Pull ", "sukuma\r\n\r\n sukum  wa\r\nsukuma", note="as on the card")

    assert reply.status_code == 303 and terms(swahili) == [("Pull", ("sukuma", "sukum wa"), "as on the card")]
    assert trail_of(station)[-1] == ("Asha", "glossary_changed", "sw Pull: sukuma / sukum wa")
    page = asha.get(reply.location).text
    assert "Do not pull after 3 pulls." in page and text_page(STOP) in page
    assert "term:Pull" in ben.get(f"{text_page(STOP)}/check").text
    assert (QUESTION, "term:Pull") in [one[:2] for one in swahili.obstacles(STOP)]
    assert "sukuma / sukum wa" in ben.get(LIST).text


def test_a_text_that_a_term_keeps_out_leads_to_that_term(asha, ben, swahili):
    write(asha, STOP, SAID[STOP])
    check(ben, STOP)
    assert "this word of the trade" not in asha.get(text_page(STOP)).text

    save(asha, "pull", "sukuma")

    page = asha.get(text_page(STOP)).text
    assert "New since it was checked." in page and "mend it there" in page
    assert f'By this word of the trade: <a href="{TERM}?en=pull"><bdi lang="en">pull</bdi></a>' in page
    assert f'<a href="{TERM}?en=pull">' in ben.get(f"{text_page(STOP)}/check").text


def test_what_keeps_a_list_from_approval_is_said_in_words_with_a_way_to_each_sentence(asha, ben, chidi, swahili):
    make_whole(asha, ben, chidi)
    asha.post(f"{text_page(STOP)}/withdraw", page=text_page(STOP), note="Read it again")
    check(ben, STOP)
    looked_at = seen(ben, f"{HOME}/{TAG}/list/bedside")
    save(asha, "pull", "sukuma")

    refused = ben.post(f"{HOME}/{TAG}/list/bedside/approve", page=f"{HOME}/new", seen=looked_at)

    assert refused.status_code == 409
    assert f'href="{text_page(STOP)}"><bdi>{STOP}</bdi>' in refused.text
    assert "no answer to: A term of the trade is said otherwise." in refused.text
    assert "unanswered" not in refused.text and "term:pull" not in refused.text


def test_a_term_is_changed_and_no_longer_asks(asha, ben, swahili):
    write(asha, STOP, SAID[STOP])
    save(asha, "pull", "sukuma")

    assert save(asha, "something else", "vut\nvutwa", page=f"{TERM}?en=PULL").status_code == 303

    assert terms(swahili) == [("pull", ("vut", "vutwa"), "")]
    assert "term:pull" not in ben.get(f"{text_page(STOP)}/check").text
    assert text_page(STOP) not in asha.get(f"{TERM}?en=pull").text


def test_a_term_is_taken_out_and_can_be_put_back(asha, swahili, station):
    save(asha, "pull", "vut\nkokot", note="as on the card")

    reply = take_out(asha, "pull", seen(asha, f"{TERM}?en=pull"))

    assert terms(swahili) == [] and trail_of(station)[-1] == ("Asha", "glossary_changed", "sw - pull: vut / kokot")
    assert asha.get(f"{TERM}?en=pull").status_code == 404
    page = asha.get(reply.location).text
    back = html.unescape(re.search(r'href="([^"]+)">Put it back', page)[1])
    assert "There are no terms yet." in page and "vut\nkokot</textarea>" in asha.get(back).text
    assert save(asha, "pull", "vut\nkokot", page=back, note="as on the card").status_code == 303
    assert terms(swahili) == [("pull", ("vut", "kokot"), "as on the card")]


def test_of_two_who_change_a_term_the_second_sees_both(asha, ben, swahili):
    save(asha, "pull", "vut")
    before = seen(ben, f"{TERM}?en=pull")
    save(asha, "pull", "kokot", page=f"{TERM}?en=pull")

    reply = save(ben, "pull", "sukuma", page=f"{TERM}?en=pull", seen=before)

    assert reply.status_code == 409 and "kokot" in reply.text and "sukuma" in reply.text
    assert terms(swahili) == [("pull", ("kokot",), "")]
    fresh = re.search(r'name="seen" value="([^"]*)"', reply.text)[1]
    assert save(ben, "pull", "sukuma", page=f"{TERM}?en=pull", seen=fresh).status_code == 303
    assert take_out(asha, "pull", before).status_code == 409
    assert terms(swahili) == [("pull", ("sukuma",), "")]


def test_two_who_add_the_same_term_or_different_ones_lose_nothing(asha, ben, swahili):
    page = seen(ben, TERM)
    save(asha, "pull", "vut")

    assert save(ben, "stop", "acha", seen=page).status_code == 303
    reply = save(ben, "Pull", "sukuma", seen=page)

    assert reply.status_code == 409 and "vut" in reply.text and "sukuma" in reply.text and f"{TERM}?en=Pull" in reply.text
    assert [one[0] for one in terms(swahili)] == ["pull", "stop"]


def test_a_term_that_was_taken_out_meanwhile_can_be_put_back(asha, ben, swahili):
    save(asha, "pull", "vut")
    before = seen(ben, f"{TERM}?en=pull")
    take_out(asha, "pull", before)

    reply = ben.post(f"{TERM}?en=pull", page=TERM, forms="sukuma", seen=before)

    assert reply.status_code == 409 and "Somebody took this term out." in reply.text and "sukuma" in reply.text
    assert ben.post(f"{TERM}?en=pull", page=TERM, forms="sukuma", seen="").status_code == 303
    assert terms(swahili) == [("pull", ("sukuma",), "")]
    assert take_out(asha, "nothing", "").status_code == 409


@pytest.mark.parametrize("wrong", [
    {"en": ""}, {"en": " "}, {"en": "x" * 61}, {"en": "a\u2028b"}, {"forms": ""}, {"forms": " \n \n"}, {"forms": "x" * 61},
    {"forms": "a\x00b"}, {"forms": "\n".join(map(str, range(21)))}, {"note": "x" * 401}, {"note": "a\x1bb"},
    {"en": "pu\u200bll"}, {"forms": "vu\u00adt"}, {"note": "\u202enote"},
])
def test_a_term_that_cannot_be_is_answered_and_nothing_is_kept(asha, swahili, wrong):
    reply = save(asha, **{"en": "pull", "forms": "vut\r\nvutwa", **wrong})

    assert reply.status_code == 422 and 'role="alert"' in reply.text and terms(swahili) == []


def test_what_was_typed_stays_in_the_fields_after_a_refusal(asha, swahili):
    page = save(asha, "", "vut & vutwa").text

    assert "vut &amp; vutwa" in page and terms(swahili) == []


def test_without_a_token_nothing_is_kept(asha, swahili):
    client = asha.client

    for path, told in ((TERM, {"en": "pull", "forms": "vut", "seen": ""}), (f"{LIST}/out", {"en": "pull", "seen": ""})):
        reply = client.post(path, data=told)
        assert reply.status_code == 400 and "Traceback" not in reply.text
    assert terms(swahili) == []


def test_only_a_lead_sees_the_words_of_the_trade(app, station, asha, swahili):
    keeper = an_account(app, station, "Kofi", "keeper", "supervisor")

    assert keeper.get(LIST).status_code == keeper.get(TERM).status_code == 403
    assert keeper.post(TERM, page="/station/account", en="pull", forms="vut", seen="").status_code == 403
    assert terms(swahili) == []


def test_a_language_that_is_not_there_has_no_glossary(asha):
    assert asha.get(f"{HOME}/xx/glossary").status_code == 404
    assert asha.get(f"{HOME}/xx/glossary/term").status_code == 404
