"""When a station speaks to its hub: never too soon after a failure, soon after something new."""

from queue import Queue

import pytest

from checklist import rounds
from checklist.errors import ChecklistError
from checklist.rounds import Rounds, pause

LOST = ChecklistError("station_unreachable")


@pytest.fixture
def run():
    """Run rounds whose sessions are counted, and end them."""
    running = []

    def start(work):
        held = Queue()

        def session():
            held.put(True)
            work()

        running.append(Rounds(session, settle_s=0.01, chance=lambda: 0.5))
        running[-1].start()
        return running[-1], held

    yield start
    for one in running:
        one.stop()


def test_a_session_is_held_at_the_start_and_after_something_new(run):
    going, held = run(lambda: None)
    held.get(timeout=5)

    going.wake()

    assert held.get(timeout=5)


def test_a_bug_in_one_session_does_not_end_the_rounds(run, monkeypatch, caplog):
    monkeypatch.setattr(rounds, "FIRST_RETRY_S", 0.01)

    def break_off():
        raise ZeroDivisionError

    _, held = run(break_off)

    assert held.get(timeout=5) and held.get(timeout=5)
    assert "broke off" in caplog.text


def test_news_do_not_shorten_the_wait_after_a_failure(run):
    def lose():
        raise LOST

    going, held = run(lose)
    held.get(timeout=5)

    going.wake()

    with pytest.raises(Exception, match="^$"):
        held.get(timeout=0.3)


@pytest.mark.parametrize(
    ("failures", "chance", "seconds"),
    [(1, 0.5, 30), (2, 0.5, 60), (1, 0.0, 15), (1, 1.0, 45), (30, 0.5, 900)],
)
def test_the_wait_doubles_up_to_a_quarter_of_an_hour(failures, chance, seconds):
    assert pause(failures, LOST, chance) == seconds


@pytest.mark.parametrize(
    ("asked", "least", "most"), [("120", 120, 180), ("999999", 3600, 5400), ("soon", 15, 45)]
)
def test_a_hub_that_asks_for_patience_gets_it_within_reason(asked, least, most):
    error = ChecklistError("journal_busy", retry_after=asked)

    assert all(least <= pause(1, error, chance) <= most for chance in (0.0, 0.5, 1.0))


def test_a_station_without_a_hub_looks_again_when_something_is_new(run):
    def lack():
        raise ChecklistError("hub_missing")

    going, held = run(lack)
    held.get(timeout=5)

    going.wake()

    assert held.get(timeout=5)
