"""Both halves of the core, on thousands of made-up logs, byte for byte."""

from tests.agreement import disagreements, told

LOGS = 2_000
FIRST_SEED = 0


def test_both_halves_judge_made_up_logs_alike_byte_for_byte(both):
    seeds = range(FIRST_SEED, FIRST_SEED + LOGS)

    found = disagreements(both, seeds, done=lambda count: None)

    assert not found, f"{len(found)} of {LOGS} differ: {found[:9]}\n{told(both, found[0])}"
