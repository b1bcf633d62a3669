"""The line of an event, written and read, in both halves."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checklist.core.event import _ENVELOPE, KEYS, _is_plain, parse, seal
from checklist.errors import ChecklistError
from checklist.tables import kinds
from tests.examples import by_name, outcome, vectors
from tests.halves import PythonHalf
from tests.judge import written

NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,39}", fullmatch=True)
WHOLE = st.integers(-(2**53) + 1, 2**53 - 1)
# Letters that the halves could count, order or escape differently are likelier.
TEXTS = st.text(
    st.one_of(st.characters(codec="utf-8"), st.sampled_from('"\\/\b\f\n\r\t\u2028\u2029\ufeff👶é')),
    max_size=200,
)
EVENTS = st.fixed_dictionaries(
    {
        "log": st.text("0123456789abcdef", min_size=32, max_size=32),
        "seq": st.integers(1, 2**53 - 1),
        "case": st.one_of(st.just(""), st.text("0123456789abcdef", min_size=16, max_size=16)),
        "kind": st.one_of(NAMES, st.sampled_from(list(kinds()))),
        "at": st.integers(0, 2**53 - 1),
        "boot": st.one_of(st.just(""), st.text("0123456789abcdef", min_size=8, max_size=8)),
        "tick": st.integers(0, 2**53 - 1),
        "ago": st.integers(0, 604_800),
        "protocol": st.just(""),
        "facts": st.dictionaries(NAMES, st.one_of(WHOLE, st.booleans(), TEXTS), max_size=4),
    }
)
ANYTHING = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(2**60), 2**60), st.floats(), TEXTS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(TEXTS, inner, max_size=3)),
    max_leaves=6,
)


@pytest.fixture(scope="module")
def javascript(both):
    return both[1]


def both_say(javascript, function, given_value):
    """What both halves say; fails when they differ."""
    python, other = (
        half.outcomes("core/event", function, [[given_value]])[0]
        for half in (PythonHalf(), javascript)
    )
    assert other == python
    return python


@pytest.mark.parametrize("example", vectors("event"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/event", example["call"], [example["args"]])

    assert found == [outcome(example)]


@settings(max_examples=150, deadline=None)
@given(event=EVENTS)
def test_a_line_is_the_same_in_both_halves_and_is_read_back_whole(javascript, event):
    line = both_say(javascript, "seal", event)["gives"]

    assert both_say(javascript, "parse", line) == {"gives": event}
    assert list(json.loads(line)) == list(KEYS)
    assert "\n" not in line
    assert seal(parse(line)) == line


@settings(max_examples=100, deadline=None)
@given(event=EVENTS, key=st.sampled_from(KEYS), odd=ANYTHING)
def test_both_halves_take_or_refuse_the_same_in_every_place(javascript, event, key, odd):
    line = json.dumps({**event, key: odd})

    both_say(javascript, "parse", line)


@settings(max_examples=100, deadline=None)
@given(event=EVENTS, place=st.integers(0, 400), put=st.sampled_from([*'{}[]",:-0.eE19 \n\\', "null"]))
def test_both_halves_take_or_refuse_the_same_damage(javascript, event, place, put):
    line = seal(event)
    damaged = line[:place] + put + line[place + 1 :]

    both_say(javascript, "parse", damaged)


@settings(max_examples=100, deadline=None)
@given(kind=st.sampled_from(list(kinds())), data=st.data())
def test_both_halves_name_the_same_problems(javascript, kind, data):
    known = list(kinds()[kind]["facts"])
    names = st.one_of(NAMES, st.sampled_from(known)) if known else NAMES
    facts = data.draw(st.dictionaries(names, st.one_of(WHOLE, st.booleans(), TEXTS), max_size=4))

    both_say(javascript, "problems", {"kind": kind, "facts": facts})


def padded(length):
    """An event whose line is so many bytes long."""
    event = {
        "log": "a" * 32, "seq": 1, "case": "", "kind": "note_added", "at": 0, "boot": "", "tick": 0,
        "ago": 0, "protocol": "", "facts": {"text": "", "more": "é" * 900, "newer": "y" * 1000},
    }
    room = length - len(written(event).encode())
    return {**event, "facts": {**event["facts"], "text": "x" * room}}


@pytest.mark.parametrize(("length", "fits"), [(4095, True), (4096, True), (4097, False)])
def test_a_line_is_at_most_4096_bytes(half, length, fits):
    event = padded(length)
    line = written(event)
    too_long = {"fails": "event_malformed", "facts": {"why": "line too long"}}

    sealed, read = (
        half.outcomes("core/event", name, [[value]])[0]
        for name, value in (("seal", event), ("parse", line))
    )

    assert len(line.encode()) == length
    assert sealed == ({"gives": line} if fits else too_long)
    assert read == ({"gives": event} if fits else too_long)


@given(EVENTS, st.sampled_from(KEYS), st.one_of(ANYTHING, st.text("0123456789abcdef \n", max_size=40)), st.booleans())
@settings(max_examples=400, deadline=None)
def test_the_quick_look_at_an_event_says_what_the_careful_one_says(event, key, value, inside):
    told = {**event, "facts": {**event["facts"], "a": value}} if inside else {**event, key: value}

    careful = all(accepts(told[name]) for name, accepts in _ENVELOPE.items())

    assert _is_plain(told) == careful
    assert not _is_plain({name: told[name] for name in KEYS if name != key})


@pytest.mark.parametrize("number", ["-0", "[-0]", "1e3", "1.0", "NaN", "-0.0"])
def test_a_number_that_both_halves_would_read_differently_is_refused(number):
    line = seal({**dict.fromkeys(KEYS, ""), "log": "0" * 32, "seq": 1, "kind": "a", "at": 7, "tick": 0, "ago": 0, "facts": {}})

    assert parse(line)["at"] == 7
    with pytest.raises(ChecklistError):
        parse(line.replace('"at":7', f'"at":{number}'))
