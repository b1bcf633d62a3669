"""A whole birth on a tablet whose station is dead and whose browser is killed in the middle of a pull."""

import datetime as dt
import json

from click.testing import CliRunner

from checklist.cli.replay import replay
from checklist.core.event import parse
from checklist.tables import STATIC
from tests.browser.app import expect_told, kept_lines, open_app, open_at, station_lines


BEGAN = dt.datetime(2026, 3, 1, 2, 10, tzinfo=dt.UTC)
KILLED_AT = BEGAN + dt.timedelta(minutes=12)
REST_S = 120


def test_a_birth_is_kept_through_two_deaths_and_reaches_the_station_byte_for_byte(served, profile, tmp_path):
    data = tmp_path / "station"
    midwife = open_at(served_once(served, profile, data), served.url, BEGAN)
    midwife.start()
    midwife.answer_all()
    midwife.decide()
    midwife.apply()
    midwife.pull(40, "yes")
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(20)
    midwife.detach()
    midwife.check_scalp()
    midwife.apply()
    midwife.wait(REST_S)
    midwife.begin_pull()
    midwife.wait(10)
    assert midwife.counts() == {"pulls": 3, "minutes": 5, "detachments": 1}
    cup_on = applied_at(kept_lines(midwife.page))
    profile.kill()

    midwife = open_at(profile.start(), served.url, KILLED_AT)
    expect_told(midwife.page, "place.pull")
    midwife.expect_screen("pull")
    since = int((KILLED_AT - cup_on).total_seconds() // 60)
    assert midwife.counts() == {"pulls": 3, "minutes": since, "detachments": 1}
    midwife.wait(60)
    assert midwife.counts()["minutes"] == since + 1
    midwife.end_pull()
    midwife.judge("perineum")
    midwife.head_out()
    midwife.cup_off()
    midwife.born()
    midwife.tap("after.record")
    midwife.expect_screen("record")
    lines = kept_lines(midwife.page)
    assert no_number_is_missing(lines)

    served.start(STATIC, data=data)
    profile.context.set_offline(False)
    midwife.page.close()
    midwife = open_app(profile.context, served.url, moment=KILLED_AT + dt.timedelta(minutes=5))
    # It stood still on the pages before.
    midwife.page.clock.resume()
    midwife.expect_screen("after")
    midwife.tap("app.back", redraws=False)
    expect_told(midwife.page, "home.all_sent")
    sent = station_lines(data)
    assert sent == kept_lines(midwife.page)
    assert set(lines) <= set(sent)
    assert replayed(tmp_path, sent) == {"pulls": 3, "detachments": 1, "applications": 2}


def applied_at(lines) -> dt.datetime:
    """Give the moment at which the cup first went on."""
    at = next(event["at"] for event in map(parse, lines) if event["kind"] == "cup_applied")
    return dt.datetime.fromtimestamp(at / 1000, dt.UTC)


def served_once(served, profile, data):
    """Visit the station once, then let it die and start the browser without it."""
    served.start(STATIC, data=data)
    context = profile.start()
    expect_told(open_app(context, served.url).page, "home.ready")
    served.kill()
    profile.close()
    return profile.start()


def replayed(folder, lines) -> dict[str, int]:
    log = folder / "case.jsonl"
    log.write_bytes("".join(line + "\n" for line in lines).encode())
    told = CliRunner().invoke(replay, [str(log), "--json"], catch_exceptions=False)
    assert told.exit_code == 0, told.output
    measured = json.loads(told.output)["measures"]
    return {name: measured[name] for name in ("pulls", "detachments", "applications")}


def no_number_is_missing(lines) -> bool:
    numbers: dict[str, list[int]] = {}
    for event in map(parse, lines):
        numbers.setdefault(event["log"], []).append(event["seq"])
    return all(seqs == list(range(1, len(seqs) + 1)) for seqs in numbers.values())
