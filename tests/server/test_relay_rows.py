"""A relay that brings many batches of one birth at once folds it once, and its rows are as if it came alone."""

from checklist import summary
from checklist.relay import exchange
from tests.server.near_hub import NOW, hub, post, way
from tests.server.tablet import Tablet

__all__ = ["hub", "post", "way"]


def rows(post, table):
    return [tuple(row) for row in post.journal.reader.execute(f"select * from {table} order by 1, 2, 3, 4")]


def test_many_small_batches_of_a_birth_are_folded_once_by_the_hub(post, hub, way, monkeypatch):
    tablet = post.admit(Tablet())
    tablet.pull(tablet.open_case(), 5)
    tablet.pull(tablet.open_case("Bed 4", mode="practice"), 5)
    for place in range(1, len(tablet.lines) + 1, 3):
        post.hear(tablet, place, min(place + 2, len(tablet.lines)))
    folded = []
    told = summary._told
    monkeypatch.setattr(summary, "_told", lambda case_id, *rest: folded.append(case_id) or told(case_id, *rest))

    assert exchange(post.journal, way, NOW).settled

    assert len(folded) == len(set(folded)) == 2
    for table in ("case_summary", "review_case", "review_month"):
        assert rows(hub, table) == rows(post, table)
