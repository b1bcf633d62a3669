"""PO files are read strictly, and as other programs read them."""

import io
import shutil
import subprocess

import pytest
from babel.messages.pofile import read_po
from hypothesis import given
from hypothesis import strategies as st

from checklist.errors import ChecklistError
from checklist.translation.po import Row, format_po, parse, unseen

HEAD = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n"Language: sw\\n"\n\n'
ENTRY = 'msgctxt "a.b"\nmsgid "Stop"\nmsgstr "Acha"\n'


def read(body, head=HEAD):
    return parse((head + body).encode())[1]


def refused(data):
    with pytest.raises(ChecklistError) as error:
        parse(data if isinstance(data, bytes) else (HEAD + data).encode())
    assert error.value.code == "catalog_malformed"
    return error.value.facts


def test_an_entry_is_its_id_its_english_and_its_forms():
    assert read(ENTRY) == [Row("a.b", "Stop", None, ("Acha",))]
    plural = 'msgctxt "a.b"\nmsgid "{n} pull"\nmsgid_plural "{n} pulls"\nmsgstr[0] "moja"\nmsgstr[1] "nyingi"\n'
    assert read(plural) == [Row("a.b", "{n} pull", "{n} pulls", ("moja", "nyingi"))]


def test_long_lines_escapes_and_windows_line_ends_are_read():
    body = 'msgctxt "a"\n".b"\nmsgid ""\n"Stop "\n"now"\nmsgstr "A \\"c\\\\h\\na\\""\n'

    assert read(body.replace("\n", "\r\n")) == [Row("a.b", "Stop now", None, ('A "c\\h\na"',))]


def test_entries_need_no_empty_line_between_them():
    assert [row.id for row in read(ENTRY + ENTRY.replace("a.b", "a.c"))] == ["a.b", "a.c"]


def test_the_english_of_before_and_what_is_gone_are_read():
    assert read('#, fuzzy\n#| msgid "Start"\n' + ENTRY) == [Row("a.b", "Stop", None, ("Acha",), True, ("Start", None))]
    gone = "".join(f"#~ {line}\n" for line in ENTRY.splitlines())
    assert read('#~| msgid "Start"\n' + gone)[0].gone


def test_flags_of_review_by_newer_tools_are_passed_over():
    assert read("#= reviewed-by-team, approved\n#, approved\n# approved by Ben\n" + ENTRY) == [Row("a.b", "Stop", None, ("Acha",))]


@pytest.mark.parametrize(
    ("body", "line", "why"),
    [
        (ENTRY + "\n" + ENTRY, 10, "told twice, first at line 6"),
        (ENTRY + "\n" + ENTRY.replace("Stop", "Start"), 10, "told twice"),
        ('msgid "Stop"\nmsgstr "Acha"\n', 6, "without its id"),
        ('msgctxt "a.b"\nmsgid ""\nmsgstr "Acha"\n', 6, "without its id"),
        ('msgctxt "a.b"\nmsgid "Stop"\n', 6, "cut off"),
        ('msgctxt "a.b"\nmsgid "Stop"\nmsgctxt "a.c"\n', 8, "twice in one entry"),
        (ENTRY + 'msgstr "Acha"\n', 9, "twice in one entry"),
        ("nonsense\n", 6, "cannot be read"),
        ('msgctxt "a.b"\nmsgid Stop\nmsgstr "Acha"\n', 7, "cannot be read"),
        ('msgctxt "a.b"\nmsgid "St"op"\nmsgstr "Acha"\n', 7, "quotation mark"),
        ('msgctxt "a.b"\nmsgid "Stop"\nmsgstr "A\\u202e"\n', 8, "unknown sign"),
        ('msgctxt "a.b"\nmsgid "p"\nmsgid_plural "q"\nmsgstr[1] "r"\n', 6, "not numbered"),
        ('"lost"\n', 6, "belongs to nothing"),
    ],
)
def test_what_would_be_misread_is_refused_with_its_line(body, line, why):
    facts = refused(body)

    assert facts["line"] == line and why in facts["why"]


@pytest.mark.parametrize(
    "data",
    [
        b"", b"\xff\xfe", ENTRY.encode(), (HEAD + ENTRY).encode("utf-16"),
        (HEAD.replace("UTF-8", "ISO-8859-1") + ENTRY).encode(), (HEAD + ENTRY).encode().replace(b"Acha", b"Ach\xe9"),
    ],
)
def test_a_file_without_a_header_or_in_other_letters_is_refused(data):
    refused(data)


def test_the_line_of_conflict_that_a_merge_leaves_is_refused():
    assert refused(f"<<<<<<< mine\n{ENTRY}=======\n")["line"] == 6


TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x85\u2028\u2029\x0b\x0c\x1c\x1d\x1e"), min_size=1, max_size=30)


@given(
    texts=st.lists(st.tuples(TEXT, st.none() | TEXT, TEXT), max_size=5),
    gone=st.booleans(), fuzzy=st.booleans(),
)
def test_what_is_written_is_read_back_and_babel_reads_the_same(texts, gone, fuzzy):
    rows = [
        Row(f"a.{place}", text, plural, (form,) if plural is None else (form, form), fuzzy,
            None if gone else ("before", None), (), gone)
        for place, (text, plural, form) in enumerate(texts)
    ]
    data = format_po({"Language": "sw", "Plural-Forms": "nplurals=2; plural=(n != 1);"}, rows)

    header, back = parse(data)

    assert back == rows and header["Language"] == "sw"
    by_babel = {m.context: m for m in read_po(io.BytesIO(data)) if m.id}
    if not gone:
        assert {name: m.string for name, m in by_babel.items()} == {
            row.id: row.forms if row.plural else row.forms[0] for row in rows
        }


@pytest.mark.skipif(shutil.which("msgfmt") is None, reason="GNU gettext is not on this machine")
def test_gnu_gettext_takes_what_is_written(tmp_path):
    rows = [
        Row("a.b", "At {n}", None, ("Kwa {n}",), False, None, ("note",)),
        Row("a.c", "{n} pull", "{n} pulls", ("moja {n}", "nyingi {n}"), True, ("{n} tug", "{n} tugs")),
        Row("a.d", "Old", None, ("Zamani",), gone=True),
    ]
    path = tmp_path / "x.po"
    path.write_bytes(format_po({"Language": "sw", "Plural-Forms": "nplurals=2; plural=(n != 1);"}, rows))

    done = subprocess.run(["msgfmt", "-c", "-o", tmp_path / "x.mo", path], capture_output=True, text=True)

    assert done.returncode == 0, done.stderr


SEPARATORS = "\u2028\u2029\x85\x0b\x0c\x1c\x1d\x1e"


@pytest.mark.parametrize("sign", SEPARATORS, ids=ascii)
def test_a_separator_within_a_text_ends_no_line(sign):
    row = Row("a.b", "Stop", None, (f"A{sign}cha",))

    assert parse(format_po({"Language": "sw"}, [row]))[1] == [row]


def test_signs_that_nobody_sees_are_named():
    assert unseen("A\u2028b\x00") == ["U+2028", "U+0000"]
    assert unseen("A\n\tb\u200d و") == []
