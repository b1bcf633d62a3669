"""A station or a tablet that was put back from a copy: nothing is lost, a fork is seen."""

import shutil

from checklist.core.event import parse
from tests.browser.conftest import visit
from tests.browser.posts import EXCHANGE, TAPS, same, waiting
from tests.browser.tapping import LINES, reasons


def test_a_station_that_lost_everything_is_filled_again(post, context):
    page = visit(context, post.url)
    page.evaluate(TAPS, 30)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    post.start()

    page.evaluate(EXCHANGE)

    assert same(page, post)


def test_a_station_restored_from_a_backup_is_filled_up(post, context, tmp_path):
    page = visit(context, post.url)
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.copytree(post.data, tmp_path / "backup")
    post.start()
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    shutil.copytree(tmp_path / "backup", post.data)
    post.start()

    page.evaluate(EXCHANGE)
    assert same(page, post)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert same(page, post)
    assert reasons(page) == ["first"]


def test_a_station_restored_while_the_tablet_went_on_is_filled_up(post, context, tmp_path):
    page = visit(context, post.url)
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.copytree(post.data, tmp_path / "backup")
    post.start()
    page.evaluate(TAPS, 10)
    page.evaluate(EXCHANGE)
    post.stop()
    shutil.rmtree(post.data)
    shutil.copytree(tmp_path / "backup", post.data)
    post.start()
    page.evaluate(TAPS, 10)

    # The station does not know what comes before the batch and says what it holds.
    page.evaluate(EXCHANGE)

    assert same(page, post)


def copy_of(profile, tmp_path):
    """Keep the profile as it lies on the disk now; gives what puts it back."""
    shutil.copytree(profile.path, tmp_path / "copy", symlinks=True)

    def restore() -> None:
        shutil.rmtree(profile.path)
        shutil.copytree(tmp_path / "copy", profile.path, symlinks=True)
    return restore


def test_a_restored_tablet_that_writes_on_makes_a_fork_and_begins_a_new_log(post, profile, tmp_path):
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore = copy_of(profile, tmp_path)
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore()

    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 2)
    page.evaluate(EXCHANGE)
    page.evaluate(EXCHANGE)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert reasons(page) == ["first", "fork"]
    # Both histories are there: the three taps that the tablet forgot as well.
    assert set(page.evaluate(LINES)) < set(post.stored())
    assert len(post.stored()) == len(page.evaluate(LINES)) + 3
    assert waiting(page) == 0


def test_a_restored_tablet_learns_it_before_it_writes(post, profile, tmp_path):
    page = visit(profile.start(), post.url)
    page.evaluate(EXCHANGE)
    profile.close()
    restore = copy_of(profile, tmp_path)
    page = visit(profile.start(), post.url)
    page.evaluate(TAPS, 3)
    page.evaluate(EXCHANGE)
    profile.close()
    restore()

    page = visit(profile.start(), post.url)
    page.evaluate(EXCHANGE)
    page.evaluate(TAPS, 1)
    page.evaluate(EXCHANGE)

    assert reasons(page) == ["first", "fork"]
    # No place was used twice, so the station holds no fork.
    places = [(event["log"], event["seq"]) for event in map(parse, post.stored())]
    assert len(places) == len(set(places)) == 6
