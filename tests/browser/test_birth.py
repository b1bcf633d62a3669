"""A whole birth on a tablet whose station is dead and whose browser is killed in the middle of a pull."""

import json

from click.testing import CliRunner
from playwright.sync_api import expect

from checklist.cli.replay import replay
from checklist.core.event import parse
from checklist.tables import STATIC
from tests.browser.app import expect_told, kept_lines, open_app, station_lines


def test_a_birth_is_kept_through_two_deaths_and_reaches_the_station_byte_for_byte(served, profile, tmp_path):
    data = tmp_path / "station"
    midwife = open_app(served_once(served, profile, data), served.url)
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(1, "yes")
    midwife.begin_pull()
    midwife.detach()
    midwife.check_scalp()
    midwife.apply()
    midwife.begin_pull()
    before = midwife.counts()
    profile.kill()

    midwife = open_app(profile.start(), served.url)
    expect_told(midwife.page, "place.pull")
    midwife.go_back_to_the_case()
    midwife.expect_screen("pull")
    after = midwife.counts()
    assert (after["pulls"], after["detachments"]) == (before["pulls"], before["detachments"]) == (3, 1)
    assert after["minutes"] >= before["minutes"]
    expect(midwife.key("pull.pulling")).to_be_visible()

    midwife.end_pull()
    midwife.judge("perineum")
    counts = midwife.counts()
    midwife.head_out()
    midwife.cup_off()
    midwife.born()
    midwife.tap("after.record")
    midwife.expect_screen("record")
    lines = kept_lines(midwife.page)

    served.start(STATIC, data=data)
    midwife.page.reload()
    expect_told(midwife.page, "home.all_sent")
    assert station_lines(data) == kept_lines(midwife.page)
    assert set(lines) <= set(station_lines(data))
    assert replayed(tmp_path, station_lines(data)) == (counts["pulls"], counts["detachments"], 2)
    assert no_number_is_missing(lines)


def served_once(served, profile, data):
    """Visit the station once, then let it die and start the browser without it."""
    served.start(STATIC, data=data)
    context = profile.start()
    expect_told(open_app(context, served.url).page, "home.ready")
    served.kill()
    profile.close()
    return profile.start()


def replayed(folder, lines) -> tuple[int, int, int]:
    log = folder / "case.jsonl"
    log.write_bytes("".join(line + "\n" for line in lines).encode())
    told = CliRunner().invoke(replay, [str(log), "--json"], catch_exceptions=False)
    assert told.exit_code == 0, told.output
    measured = json.loads(told.output)["measures"]
    return measured["pulls"], measured["detachments"], measured["applications"]


def no_number_is_missing(lines) -> bool:
    numbers: dict[str, list[int]] = {}
    for event in map(parse, lines):
        numbers.setdefault(event["log"], []).append(event["seq"])
    return all(seqs == list(range(1, len(seqs) + 1)) for seqs in numbers.values())
