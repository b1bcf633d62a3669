"""A broken table is refused with where and why, alike in both halves."""

import copy
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checklist.tables import STATIC, protocol_in_force
from tests.halves import PythonHalf

RELEASED = sorted((STATIC / "protocols").glob("*.json"))
PROTOCOL = protocol_in_force()[1]


def limit(table, name):
    return next(row for row in table["limits"] if row["id"] == name)


def question(table, name):
    return next(row for row in table["questions"] if row["id"] == name)


def put(*path):
    """Give a change that sets the last of a path to the value before it."""
    *way, last, value = path

    def change(table):
        for step in way:
            table = table[step]
        table[last] = value

    return change


def drop(*path):
    *way, last = path

    def change(table):
        for step in way:
            table = table[step]
        del table[last]

    return change


# Each: what is done to a good table, where it must be refused, and why.
BROKEN = [
    (put("id", ""), "id", "missing"),
    (put("released", None), "released", "missing"),
    (drop("sign_off"), "sign_off", "missing"),
    (put("sources", {}), "sources", "missing"),
    (put("numbers", []), "numbers", "missing"),
    (drop("limits"), "limits", "missing"),
    (put("questions", []), "questions", "missing"),
    (put("steps", {"a": 1}), "steps", "missing"),
    (put("limits", 0, "text"), "limits", "not an object"),
    (drop("limits", 0, "id"), "limits", "id missing"),
    (put("limits", 1, "id", "descent_pulls"), "limits.descent_pulls", "told twice"),
    (drop("limits", 0, "clears"), "limits.descent_pulls", "clears missing"),
    (put("limits", 0, "source", ["hearsay"]), "limits.descent_pulls", "source hearsay unknown"),
    (put("limits", 0, "source", []), "limits.descent_pulls", "source missing"),
    (put("limits", 0, "source", "practice"), "limits.descent_pulls", "source missing"),
    (put("limits", 0, "known", ""), "limits.descent_pulls", "known missing"),
    (put("limits", 0, "judge", "constructor"), "limits.descent_pulls", "judge unknown"),
    (put("limits", 0, "phase", None), "limits.descent_pulls", "phase unknown"),
    (put("limits", 0, "levels", []), "limits.descent_pulls", "levels missing"),
    (put("limits", 0, "levels", 0, "level", "clear"), "limits.descent_pulls", "level unknown"),
    (put("limits", 0, "levels", 0, "message", ""), "limits.descent_pulls", "message missing"),
    (put("limits", 0, "levels", 0, "sound", "siren"), "limits.descent_pulls", "sound unknown"),
    (put("limits", 0, "levels", 0, "measure", "now_ms"), "limits.descent_pulls", "measure unknown"),
    (put("limits", 0, "levels", 1, "at", True), "limits.descent_pulls", "bound is not a whole number"),
    (put("limits", 0, "levels", 1, "at", 2.5), "limits.descent_pulls", "bound is not a whole number"),
    (put("limits", 0, "levels", 1, "at", "3"), "limits.descent_pulls", "bound is not a whole number"),
    (put("limits", 0, "outer", "3"), "limits.descent_pulls", "outer is not a whole number"),
    (
        lambda table: limit(table, "pulls")["levels"].reverse(),
        "limits.pulls",
        "levels are not from mild to grave",
    ),
    (
        lambda table: limit(table, "working_suction").update(ceiling_pa=80_001),
        "limits.working_suction",
        "stop 80001 is looser than the outer bound 80",
    ),
    (
        lambda table: limit(table, "working_suction")["floor"].pop("mmhg"),
        "limits.working_suction",
        "floor.mmhg is not a whole number",
    ),
    (
        lambda table: limit(table, "fetal_heart").pop("high"),
        "limits.fetal_heart",
        "high is not a whole number",
    ),
    (
        put("numbers", "same_contraction_s", "value", 31),
        "numbers.same_contraction_s",
        "31 is looser than the outer bound 30",
    ),
    (put("numbers", "undo_s", 10), "numbers.undo_s", "not an object"),
    (
        lambda table: question(table, "cervix")["answers"][0].update(verdict="fine"),
        "questions.cervix",
        "verdict unknown",
    ),
    (lambda table: question(table, "cervix").update(answers=[]), "questions.cervix", "answers missing"),
    (lambda table: question(table, "weeks")["bands"][-1].update(below="300"), "questions.weeks", "below is not a whole number"),
    (
        lambda table: limit(table, "working_suction").update(levels=limit(table, "working_suction")["levels"][-1:]),
        "limits.working_suction",
        "caution missing",
    ),
    (put("questions", 0, "optional", []), "questions.bed", "optional is not true or false"),
    (put("questions", 0, "optional", 1), "questions.bed", "optional is not true or false"),
    (lambda table: question(table, "plan").pop("places"), "questions.plan", "missing"),
    (
        lambda table: question(table, "weeks")["bands"][0].pop("below"),
        "questions.weeks",
        "below is not a whole number",
    ),
    (put("together", 0, "any", []), "together.mid_without_theatre", "any missing"),
    (put("together", 0, "verdict", "no"), "together.mid_without_theatre", "verdict unknown"),
]
STOPS = [
    (row["id"], place, level["at"], row["outer"])
    for row in PROTOCOL["limits"]
    for place, level in enumerate(row["levels"])
    if level["level"] == "stop" and row["outer"] is not None
]


def outcomes(half, tables):
    return half.outcomes("core/protocol", "read_protocol", [[json.dumps(table)] for table in tables])


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.stem)
def test_every_released_table_is_read_as_it_is(half, path):
    text = path.read_text(encoding="utf-8")

    assert half.call("core/protocol", "read_protocol", [text]) == json.loads(text)


@pytest.mark.parametrize(("change", "where", "why"), BROKEN, ids=[f"{w}-{y}" for _, w, y in BROKEN])
def test_a_broken_table_is_refused_with_where_and_why(half, change, where, why):
    table = copy.deepcopy(PROTOCOL)
    change(table)

    (found,) = outcomes(half, [table])

    assert found == {"fails": "protocol_malformed", "facts": {"where": where, "why": why}}


@pytest.mark.parametrize("text", ["", "{", "NaN", '{"id": NaN}', "[1,]", "\ufeff{}"])
def test_what_is_not_json_is_refused(half, text):
    (found,) = half.outcomes("core/protocol", "read_protocol", [[text]])

    assert found["facts"] == {"where": "file", "why": "not JSON"}


@pytest.mark.parametrize("text", ["null", "[]", "3", '"protocol"'])
def test_what_is_no_object_is_refused(half, text):
    (found,) = half.outcomes("core/protocol", "read_protocol", [[text]])

    assert found["facts"] == {"where": "file", "why": "not an object"}


@pytest.mark.parametrize(("name", "place", "stop", "outer"), STOPS)
def test_a_stop_may_be_as_loose_as_its_outer_bound_and_no_looser(half, name, place, stop, outer):
    tables = [copy.deepcopy(PROTOCOL) for _ in range(3)]
    for table, bound in zip(tables, (outer - 1, outer, outer + 1), strict=True):
        limit(table, name)["levels"][place]["at"] = bound

    *good, looser = outcomes(half, tables)

    assert stop <= outer
    assert all("gives" in found for found in good)
    assert looser["facts"] == {
        "where": f"limits.{name}",
        "why": f"stop {outer + 1} is looser than the outer bound {outer}",
    }


def places(value, way=()):
    """List every place in a table: where something else could stand."""
    if isinstance(value, dict | list):
        inner = value.items() if isinstance(value, dict) else enumerate(value)
        for key, child in inner:
            yield from places(child, (*way, key))
    if way:
        yield way


PLACES = list(places(PROTOCOL))
ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 100), st.just(2.0), st.just(2.5), st.text(max_size=3),
    st.just([]), st.just({}), st.just([None]), st.just([{}]), st.just(["practice"]),
)


@pytest.fixture(scope="module")
def other_half(both):
    return both[1]


@settings(
    max_examples=250, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(way=st.sampled_from(PLACES), odd=ODD)
def test_both_halves_refuse_or_read_the_same_wherever_something_odd_stands(other_half, way, odd):
    table = copy.deepcopy(PROTOCOL)
    put(*way, odd)(table)

    assert outcomes(PythonHalf(), [table]) == outcomes(other_half, [table])


def test_a_limit_is_found_by_its_id(half):
    assert half.call("core/protocol", "limit_row", [PROTOCOL, "pulls"]) == limit(PROTOCOL, "pulls")
    assert half.call("core/protocol", "limit_row", [PROTOCOL, "never"]) is None
