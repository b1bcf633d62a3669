"""Stricter limits: each bound below, at and above, in both halves; nothing becomes looser."""

import copy
import hashlib
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checklist.core.protocol import limit_row
from checklist.core.tighten import digest_text, settable, write_changes
from checklist.tables import digest, protocol_in_force
from tests.core.test_limits import minutes, pulls, suctions
from tests.examples import by_name, outcome, vectors
from tests.halves import PythonHalf
from tests.judge import judge_here

BASE, PROTOCOL = protocol_in_force()
BOUNDS = [
    (row["id"], level, bound["least"], bound["loosest"])
    for row in PROTOCOL["limits"] for level, bound in settable(row).items()
]
FIXED = [row["id"] for row in PROTOCOL["limits"] if not settable(row)]
NAMES = [f"{limit}.{level}" for limit, level, _, _ in BOUNDS]


def tightened(half, changes):
    return half.outcomes("core/tighten", "tighten", [[PROTOCOL, changes]])[0]


def levels(protocol, limit, level):
    return [one["at"] for one in limit_row(protocol, limit)["levels"] if one["level"] == level]


@pytest.mark.parametrize("example", vectors("tighten"), ids=by_name)
def test_example(half, example):
    found = half.outcomes("core/tighten", example["call"], [example["args"]])

    assert found == [outcome(example)]


def test_the_limits_that_a_post_may_set_are_the_shipped_ones():
    assert {(limit, level): (least, loosest) for limit, level, least, loosest in BOUNDS} == {
        ("descent_pulls", "stop"): (1, 3), ("perineal_pulls", "stop"): (1, 3),
        ("pulls", "caution"): (1, 4), ("pulls", "stop"): (1, 6),
        ("poor_pulls", "caution"): (1, 1), ("poor_pulls", "stop"): (1, 2),
        ("detachments", "caution"): (1, 1), ("detachments", "stop"): (1, 2),
        ("cup_minutes", "caution"): (1, 10), ("cup_minutes", "stop"): (1, 20),
        ("traction_minutes", "caution"): (1, 8), ("traction_minutes", "stop"): (1, 10),
        ("working_suction", "stop"): (60, 80),
    }


def test_both_halves_name_the_same_bounds(half):
    rows = [[row] for row in PROTOCOL["limits"]]

    assert half.each("core/tighten", "settable", rows) == [settable(row) for [row] in rows]


@pytest.mark.parametrize(("limit", "level", "least", "loosest"), BOUNDS)
def test_a_limit_may_be_as_loose_as_shipped_and_no_looser(half, limit, level, least, loosest):
    stricter = [loosest - 1] if loosest > least else []
    for value in [*stricter, loosest]:
        found = tightened(half, f"{limit}.{level}={value}")
        assert levels(found["gives"], limit, level)[0] == value

    looser = tightened(half, f"{limit}.{level}={loosest + 1}")

    assert looser == {
        "fails": "limits_refused",
        "facts": {"where": f"{limit}.{level}", "why": "looser", "bound": loosest},
    }


@pytest.mark.parametrize(("limit", "level", "least", "loosest"), BOUNDS)
def test_a_limit_that_would_always_stand_is_refused(half, limit, level, least, loosest):
    both = f"{limit}.caution=1 " if level == "stop" and (limit, "caution", 1) in [bound[:3] for bound in BOUNDS] else ""
    assert "gives" in tightened(half, f"{both}{limit}.{level}={least}")

    found = tightened(half, f"{limit}.{level}={least - 1}")

    assert found["facts"] == {"where": f"{limit}.{level}", "why": "too_small", "bound": least}


@pytest.mark.parametrize("limit", FIXED)
@pytest.mark.parametrize("level", ["caution", "stop"])
def test_what_is_no_number_of_its_own_stands_as_it_is(half, limit, level):
    found = tightened(half, f"{limit}.{level}=1")

    assert found["facts"] == {"where": f"{limit}.{level}", "why": "fixed"}


@pytest.mark.parametrize("changes", ["never.stop=1", "constructor.stop=1", "working_suction.caution=60"])
def test_what_the_protocol_does_not_have_is_refused(half, changes):
    where = changes.split("=")[0]
    why = "fixed" if where.startswith("working") else "unknown"

    assert tightened(half, changes)["facts"] == {"where": where, "why": why}


@pytest.mark.parametrize(("caution", "gives"), [(6, True), (7, True), (8, False)])
def test_a_caution_comes_with_its_stop_at_the_latest(half, caution, gives):
    found = tightened(half, f"cup_minutes.caution={caution} cup_minutes.stop=7")

    assert ("gives" in found) == gives
    if not gives:
        assert found["facts"] == {"where": "cup_minutes.caution", "why": "past_stop", "bound": 7}


def test_the_cautions_that_nobody_named_move_with_the_stop(half):
    found = tightened(half, "cup_minutes.stop=12 descent_pulls.stop=2")["gives"]

    assert levels(found, "cup_minutes", "caution") == [10, 12]
    assert levels(found, "descent_pulls", "caution") == [1, 2]


@pytest.mark.parametrize("limit", ["descent_pulls", "perineal_pulls"])
def test_one_is_left_where_it_is_said_so(half, limit):
    for stop, cautions in ((3, [2, 3]), (2, [1, 2]), (1, [1, 1])):
        assert levels(tightened(half, f"{limit}.stop={stop}")["gives"], limit, "caution") == cautions

    assert tightened(half, f"{limit}.caution=1")["facts"] == {"where": f"{limit}.caution", "why": "fixed"}


def test_a_lower_ceiling_of_suction_stands_in_every_unit(half):
    row = limit_row(tightened(half, "working_suction.stop=70")["gives"], "working_suction")

    assert row["ceiling_pa"] == 70_000
    # 70 kPa is 525.04 mmHg, 0.7138 kgf/cm2, 0.70 bar and 20.67 inHg (NIST SP 811), down to a mark.
    assert row["ceiling"] == {"kpa": 70_000, "mmhg": 525_000, "kgf_cm2": 710, "bar": 700, "inhg": 20_600}


def test_what_is_as_shipped_changes_nothing(half):
    changes = write_changes({f"{limit}.{level}": loosest for limit, level, _, loosest in BOUNDS})

    assert tightened(half, "")["gives"] == PROTOCOL
    assert tightened(half, changes)["gives"] == PROTOCOL


@pytest.mark.parametrize("changes", [None, 3, ["pulls.stop=5"]])
def test_what_is_no_text_is_refused(half, changes):
    assert tightened(half, changes)["facts"] == {"where": "changes", "why": "malformed"}


@pytest.mark.parametrize(("length", "why"), [(1999, "unknown"), (2000, "unknown"), (2001, "too_long")])
def test_the_text_may_be_as_long_as_an_event_allows(half, length, why):
    first = " ".join(f"limit_{number:03}.stop=1" for number in range(116))
    last = "limit_999" + "x" * (length - len(first) - 17) + ".stop=1"

    found = tightened(half, f"{first} {last}")

    assert len(f"{first} {last}") == length
    assert found["facts"]["why"] == why


def test_a_tightened_protocol_is_a_protocol(half):
    table = tightened(half, "cup_minutes.stop=12 pulls.caution=1 working_suction.stop=61")["gives"]

    assert half.call("core/protocol", "read_protocol", [json.dumps(table)]) == table


def test_the_protocol_that_came_in_stays_as_it_is():
    before = copy.deepcopy(PROTOCOL)

    tightened(PythonHalf(), "pulls.stop=5 working_suction.stop=70")

    assert PROTOCOL == before


def test_both_halves_hash_to_the_same_name(modules_page):
    changes = "cup_minutes.stop=15 pulls.stop=5"

    found = modules_page.evaluate(
        """async ([base, changes]) => {
          const { digestText } = await import("/core/tighten.js");
          const { hex, sha256 } = await import("/bytes.js");
          const bytes = new TextEncoder().encode(digestText(base, changes));
          return hex(await sha256(bytes)).slice(0, 16);
        }""",
        [BASE, changes],
    )

    assert found == digest(digest_text(BASE, changes).encode())
    assert found == hashlib.sha256(f"limits/1\n{BASE}\n{changes}".encode()).hexdigest()[:16]


def at(story, changes, limit):
    protocol = PythonHalf().call("core/tighten", "tighten", [PROTOCOL, changes])
    found = judge_here(list(story.lines), [story.now()], protocol)["views"][0]["findings"]
    return next(one["level"] for one in found if one["limit"] == limit)


@pytest.mark.parametrize(
    ("story", "changes", "limit", "level"),
    [
        (minutes(12 * 60 - 0.001), "cup_minutes.stop=12", "cup_minutes", "caution"),
        (minutes(12 * 60), "cup_minutes.stop=12", "cup_minutes", "stop"),
        (pulls(1), "descent_pulls.stop=2", "descent_pulls", "caution"),
        (pulls(2), "descent_pulls.stop=2", "descent_pulls", "stop"),
        (suctions("working", "mmhg", 525_000), "working_suction.stop=70", "working_suction", "clear"),
        (suctions("working", "mmhg", 526_000), "working_suction.stop=70", "working_suction", "stop"),
    ],
)
def test_a_case_is_judged_by_the_stricter_limit(story, changes, limit, level):
    assert at(story, changes, limit) == level


@st.composite
def some_changes(draw):
    names = draw(st.lists(st.sampled_from([*NAMES, "never.stop", "rim.caution"]), unique=True, max_size=6))
    return write_changes({name: draw(st.integers(0, 90)) for name in names})


@pytest.fixture(scope="module")
def other_half(both):
    return both[1]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=some_changes() | st.text(max_size=30))
def test_both_halves_tighten_or_refuse_alike_and_never_loosen(other_half, changes):
    found = tightened(PythonHalf(), changes)

    assert found == tightened(other_half, changes)
    for row in found.get("gives", {"limits": []})["limits"]:
        shipped = limit_row(PROTOCOL, row["id"])
        assert all(new["at"] <= old["at"] for new, old in zip(row["levels"], shipped["levels"], strict=True))
        assert row.get("ceiling_pa", 0) <= shipped.get("ceiling_pa", 0)
