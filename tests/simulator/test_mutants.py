"""The test of the test: an exchange that is broken on purpose is always caught."""

import pytest

from tests.simulator.mutants import MUTANTS, SEEDS_TO_CATCH
from tests.simulator.run import first_failing, run


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.name)
def test_a_broken_exchange_is_caught(mutant):
    with mutant.broken():
        found = first_failing(range(SEEDS_TO_CATCH))

    assert found, f"{SEEDS_TO_CATCH} seeds did not notice: {mutant.name}"
    assert run(found.seed) is None, "the seed fails without the mutant too"
