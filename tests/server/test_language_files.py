"""A file of translations that goes out and comes back: drafts only, and nothing is lost or let in."""

import io
import re

import pytest

from tests.server.language_desk import HOME, NOTE, SAID, STOP, TAG, asha, ben, check, chidi, room, settings, swahili, write
from tests.server.people import quick_hashes, trail_of
from tests.server.tablet import ELSEWHERE

__all__ = ["asha", "ben", "chidi", "quick_hashes", "room", "settings", "swahili"]
FILE = f"{HOME}/{TAG}/file"


def given(person) -> str:
    """The file as it goes out."""
    return person.get(f"{HOME}/{TAG}/content.po").text


def brought(person, text: str | bytes, how: str = "person", **more: str):
    """Bring a file back."""
    data = text.encode() if isinstance(text, str) else text
    return person.post(FILE, file=(io.BytesIO(data), "any name.po"), how=how, **{"wrote": person.name, **more})


def filled(text: str, said: dict[str, str]) -> str:
    """Write translations into a file, as an editor does."""
    for name, words in said.items():
        text = re.sub(rf'(msgctxt "{re.escape(name)}"\nmsgid "[^\n]*"\nmsgstr )""', rf'\1"{words}"', text)
    return text


def test_what_comes_back_is_a_draft_by_whoever_brought_it(asha, swahili, station):
    reply = brought(asha, filled(given(asha), {NOTE: SAID[NOTE], STOP: SAID[STOP]}), "machine+edited")

    assert reply.status_code == 200 and "Nothing in it was approved by that." in reply.text
    swahili.refresh()
    assert swahili.forms(NOTE) == [SAID[NOTE]] and swahili.state(NOTE) == "draft"
    row = swahili.history(NOTE)[-1]
    assert (row["by"], row["how"]) == ("Asha", "machine+edited")
    assert trail_of(station)[-1][1] == "words_imported" and "taken 2" in trail_of(station)[-1][2]


def test_no_mark_in_a_file_brings_approval(asha, swahili):
    text = filled(given(asha), {NOTE: SAID[NOTE]})
    text = text.replace(f'msgctxt "{NOTE}"', f'# approved by the Minister\n#, approved\nmsgctxt "{NOTE}"')

    assert brought(asha, text).status_code == 200
    swahili.refresh()
    assert swahili.state(NOTE) == "draft"


def test_a_text_that_changed_meanwhile_stays_and_both_are_kept(asha, ben, swahili):
    out = given(asha)
    write(ben, NOTE, "Shukrani")

    page = brought(asha, filled(out, {NOTE: SAID[NOTE]})).text

    assert "Kept beside" in page and NOTE in page
    swahili.refresh()
    assert swahili.forms(NOTE) == ["Shukrani"]
    assert [row["forms"] for row in swahili.history(NOTE)] == [["Shukrani"], [SAID[NOTE]]]


def test_what_was_checked_and_comes_back_unchanged_stays_checked(asha, ben, swahili):
    write(asha, NOTE, SAID[NOTE])
    check(ben, NOTE)

    brought(asha, given(asha))

    swahili.refresh()
    assert swahili.state(NOTE) == "checked"


def test_unknown_sentences_are_named_and_left_out(asha, swahili):
    page = brought(asha, given(asha) + '\nmsgctxt "small.ghost"\nmsgid "Boo"\nmsgstr "Bu"\n').text

    assert "<code>small.ghost</code>" in page


@pytest.mark.parametrize("spoil", [
    lambda text: text.replace("Language: sw", "Language: fr"),
    lambda text: text + '\nmsgctxt "small.note"\nmsgid "Thank you"\nmsgstr "Tena"\n',
    lambda text: b"\xff\xfe" + text.encode(),
    lambda text: "PK\x03\x04 not a file of translations",
])
def test_a_file_that_is_not_this_languages_is_refused_whole(asha, swahili, spoil):
    reply = brought(asha, spoil(filled(given(asha), {NOTE: SAID[NOTE]})))

    assert reply.status_code == 422 and "Nothing of it was kept." in reply.text
    swahili.refresh()
    assert swahili.forms(NOTE) == []


def test_a_file_has_a_largest_size_and_an_empty_form_is_refused(asha, swahili):
    body = {"data": b"#" * (4 * 1024 * 1024 + 1), "content_type": "multipart/form-data; boundary=x"}
    assert asha.client.post(FILE, environ_base=ELSEWHERE, **body).status_code == 413
    assert asha.post(FILE, how="person").status_code == 422
    assert brought(asha, given(asha), how="angels").status_code == 422


def test_who_translated_a_file_that_somebody_else_brings_is_no_second_eye(asha, ben, chidi, swahili):
    reply = brought(asha, filled(given(asha), {NOTE: SAID[NOTE]}), wrote="Ben")

    assert reply.status_code == 200
    assert check(ben, NOTE).status_code == check(asha, NOTE).status_code == 409
    assert check(chidi, NOTE).status_code == 303
    assert re.search(r'<option selected value="Asha">', asha.get(FILE).text)
    assert brought(asha, given(asha), wrote="Nobody here").status_code == 422


def test_a_slip_in_a_file_is_named_on_its_page(asha, swahili):
    page = brought(asha, filled(given(asha), {NOTE: SAID[NOTE], STOP: "Usi\u2028vute 3."})).text

    assert "hidden sign" in page and STOP in page.partition('class="told"')[2]
    swahili.refresh()
    assert swahili.forms(NOTE) == [SAID[NOTE]] and swahili.forms(STOP) == []
