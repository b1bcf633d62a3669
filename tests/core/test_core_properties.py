"""What holds of the core whatever was tapped, on made-up logs.

Asked of the Python half; test_core_agreement holds the other half equal to it on the
same logs.
"""

import copy
import json
from random import Random

import pytest

from checklist.core.case import fold
from checklist.core.checks import verdict
from checklist.core.corrections import in_order
from checklist.core.event import parse
from checklist.core.limits import advise
from checklist.core.measures import measures
from checklist.core.newborn import watch
from checklist.core.schedule import due, rounds_of
from checklist.tables import protocol_in_force
from tests.births import birth
from tests.judge import judge_here, written
from tests.logs import random_log

PROTOCOL = protocol_in_force()[1]
COUNTS = ("pulls", "pulls_ended", "detachments", "applications")
CORRECTIONS = ("withdrawn", "amended")
SEEDS = range(100_000, 100_250)


@pytest.fixture(scope="module")
def logs():
    """Made-up logs as {seed: (events, stamps)}."""
    made = {seed: random_log(seed) for seed in SEEDS}
    return {
        seed: ([parse(line) for line in log["lines"]], log["stamps"]) for seed, log in made.items()
    }


def one_more(events, kind, facts, ago=0):
    """Tell one event more, at the moment of the last one."""
    last = in_order(events)[-1]
    return {**last, "seq": last["seq"] + 1, "kind": kind, "facts": facts, "ago": ago}


def taps(seed):
    """Some taps that a further minute of this birth could bring."""
    rng = Random(seed)
    told = [(kind, facts, rng.choice((0, 0, 20, 90, 600))) for kind, facts, _ in birth(rng)]
    return [tap for tap in rng.sample(told, 4) if tap[0] not in CORRECTIONS + ("case_opened",)]


def stamp_of(event):
    return {name: event[name] for name in ("at", "boot", "tick")}


def test_an_event_more_never_lowers_a_count(logs):
    for seed, (events, _) in logs.items():
        now = stamp_of(in_order(events)[-1])
        before = measures(fold(events), now)
        for kind, facts, ago in taps(seed):
            after = measures(fold([*events, one_more(events, kind, facts, ago)]), now)
            for name in COUNTS:
                assert after[name] >= before[name], (seed, name, kind, facts, ago)


def test_telling_everything_twice_tells_the_same(logs):
    for seed, (events, _) in logs.items():
        assert written(fold(events + events)) == written(fold(events)), seed


def test_the_order_in_which_events_arrive_does_not_matter(logs):
    for seed, (events, _) in logs.items():
        shuffled = Random(seed).sample(events, len(events))

        assert written(fold(shuffled)) == written(fold(events)), seed


def test_withdrawing_an_event_restores_what_was_measured_before_it(logs):
    for seed, (events, _) in logs.items():
        now = stamp_of(in_order(events)[-1])
        before = measures(fold(events), now)
        for kind, facts, ago in taps(seed):
            more = one_more(events, kind, facts, ago)
            target = {"target_log": more["log"], "target_seq": more["seq"]}
            taken = one_more([*events, more], "withdrawn", target)
            again = one_more([*events, more, taken], "withdrawn", {
                "target_log": taken["log"], "target_seq": taken["seq"],
            })

            assert measures(fold([*events, more, taken]), now) == before, (seed, kind)
            assert measures(fold([*events, more, taken, again]), now) == measures(
                fold([*events, more]), now
            ), (seed, kind)


def test_what_is_not_known_is_never_called_clear(logs):
    for seed, (events, stamps) in logs.items():
        case = fold(events)
        for now in stamps:
            found = {row["limit"]: row["level"] for row in advise(case, PROTOCOL, now)}
            measured = measures(case, now)
            for limit, known in known_inputs(measured).items():
                assert known or found[limit] != "clear", (seed, limit)


def known_inputs(measured):
    """Tell for each limit whether its input was told well enough to say clear."""
    working = measured["suction_stage"] == "working" and measured["suction_pa"] is not None
    sure = not measured["clock_doubt"]
    return {
        "fetal_heart": measured["fetal_heart"] == "yes" and measured["fetal_heart_bpm"] is not None,
        "working_suction": working or not measured["pull_open"],
        "poor_pulls": measured["unsure_pulls"] == 0,
        "placement": measured["deflexing"] is not None,
        "cup_minutes": sure,
        "traction_minutes": sure,
        "clock": sure,
    }


def test_no_start_is_a_go_with_a_question_open(logs):
    for seed, (events, _) in logs.items():
        weighed = verdict(fold(events), PROTOCOL)

        assert weighed["verdict"] != "go" or not weighed["open"] and not weighed["reasons"], seed


def test_times_and_counts_are_never_negative_and_never_more_than_there_is(logs):
    for seed, (events, stamps) in logs.items():
        case = fold(events)
        for now in stamps:
            found = measures(case, now)
            for name in ("cup_ms", "cup_floor_ms", "traction_ms"):
                assert found[name] >= 0, (seed, name)
            assert found["pull_ms"] is None or found["pull_ms"] >= 0, seed
            assert found["cup_floor_ms"] <= found["cup_ms"], seed
            assert found["pulls_ended"] <= found["pulls"], seed
            assert found["descent_pulls"] + found["perineal_pulls"] == found["pulls"], seed
            for pull in case["pulls"]:
                for piece in pull["pieces"]:
                    assert piece["ended_ms"] is None or piece["ended_ms"] >= piece["began_ms"], seed


def test_minutes_of_the_cup_run_on_while_time_passes(logs):
    for seed, (events, _) in logs.items():
        case = fold(events)
        last = stamp_of(in_order(events)[-1])
        later = {**last, "at": last["at"] + 90_000, "tick": last["tick"] + 90_000}
        here, there = measures(case, last), measures(case, later)

        assert there["cup_ms"] - here["cup_ms"] == (90_000 if here["cup_running"] else 0), seed


def test_a_detachment_does_not_stop_the_minutes_of_the_cup(logs):
    for seed, (events, _) in logs.items():
        now = stamp_of(in_order(events)[-1])
        before = measures(fold(events), now)
        if not before["cup_running"] or fold(events)["head_born"] or fold(events)["stopped"]:
            continue
        after = measures(fold([*events, one_more(events, "cup_detached", {})]), now)

        assert (after["cup_ms"], after["cup_running"]) == (before["cup_ms"], 1), seed


def test_a_further_sign_never_lowers_how_closely_a_baby_is_watched(logs):
    signs = [("colour", {"answer": "pink"}), ("tone", {"answer": "floppy"}), ("heart", {"value": 120})]
    for seed, (events, _) in logs.items():
        now = stamp_of(in_order(events)[-1])
        before = watch(fold(events), PROTOCOL, now)
        for what, told in signs:
            more = one_more(events, "baby_observed", {"what": what, **told}, ago=20)
            after = watch(fold([*events, more]), PROTOCOL, now)

            assert after["tier"] >= before["tier"], (seed, what)
            assert len(after["reasons"]) >= len(before["reasons"]), (seed, what)


def test_a_tier_is_that_of_its_gravest_reason_unless_it_was_lowered(logs):
    for seed, (events, stamps) in logs.items():
        case = fold(events)
        for now in stamps:
            found = watch(case, PROTOCOL, now)
            gravest = max([1, *(reason["tier"] for reason in found["reasons"])])
            met = {reason["row"] for reason in found["reasons"]}

            assert (found["tier"] < gravest) is (found["lowered"] is not None), seed
            assert found["tier"] <= gravest and not met & set(found["unknown"]), seed


def test_what_is_due_is_open_late_in_its_time_and_told_once(logs):
    for seed, (events, stamps) in logs.items():
        case = fold(events)
        for now in stamps:
            now_ms = measures(case, now)["now_ms"]
            found = due(case, PROTOCOL, now)
            names = [item["id"] for item in found]

            assert len(names) == len(set(names)), seed
            for item in found:
                reached = [item["due_ms"] <= now_ms, item["late_ms"] <= now_ms]
                assert item["state"] == ("later", "due", "late")[sum(reached)], (seed, item)
            for lane in ("baby", "mother"):
                minutes = [slot["minute"] for slot in rounds_of(case, PROTOCOL, now, lane)]
                assert minutes == sorted(set(minutes)) and len(minutes) < 200, seed


def test_nothing_that_is_given_is_changed(logs):
    for seed in SEEDS[:150]:
        log = random_log(seed)
        events, stamps, protocol = (
            [parse(line) for line in log["lines"]], log["stamps"], copy.deepcopy(PROTOCOL),
        )
        given = json.dumps([events, stamps, protocol])
        case = fold(events)
        folded = json.dumps(case)
        for now in stamps:
            measures(case, now)
            advise(case, protocol, now)
        verdict(case, protocol)
        judge_here(log["lines"], stamps, protocol)

        assert json.dumps([events, stamps, protocol]) == given, seed
        assert json.dumps(case) == folded, seed
