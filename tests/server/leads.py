"""Two team leads with accounts: what one makes, the other signs or checks."""

import pytest

from tests.server.people import an_account


@pytest.fixture
def asha(app, station):
    """The first lead."""
    return an_account(app, station, "Asha", "lead", "keeper")


@pytest.fixture
def ben(app, station, asha):
    """The second lead."""
    return an_account(app, station, "Ben", "lead")
