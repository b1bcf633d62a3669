"""The kit check: one tap a thing, the pump read twice, the result on the first screen, offline."""

import datetime as dt
import json

import pytest
from playwright.sync_api import expect

from checklist.tables import STATIC, protocol_in_force
from tests.browser.app import WORDS, expect_told, kept_events, open_app, open_at
from tests.browser.test_birth import served_once

MONDAY = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)
DAY_S = 86_400
ROWS = protocol_in_force()[1]["kit"]
THERE = WORDS.text("kit.there")
MISSING = WORDS.text("kit.not_there")
YES = WORDS.text("app.yes")
# Every read of the store is counted, by what it asks and how much it gets.
COUNTING = """() => {
  window.reads = [];
  const watch = (proto, name) => {
    const plain = proto[name];
    proto[name] = function (...args) { window.reads.push(`${this.name}.${name}`); return plain.apply(this, args); };
  };
  for (const name of ["getAll", "openCursor"]) { watch(IDBObjectStore.prototype, name); watch(IDBIndex.prototype, name); }
}"""


@pytest.fixture
def station(served, tmp_path):
    """A station on an empty journal."""
    return served.start(STATIC, data=tmp_path / "station")


def name_of(row: dict) -> str:
    if "group" in row:
        return f"{WORDS.text('cup.kind.' + row['cup'])}, {WORDS.quantity(row['mm'], 'mm')}"
    return WORDS.text(f"kit.{row['id']}")


def answer(midwife, row: dict, said: str) -> None:
    """Tap the answer of one thing."""
    group = midwife.page.get_by_role("group", name=name_of(row), exact=True)
    midwife.press(group.get_by_role("button", name=said))


def answer_all(midwife, *without: str) -> None:
    """Say of everything that it is there, of the cups one."""
    for row in ROWS:
        if row["id"] in without or (row.get("group") and row["id"] != "cup_soft_60"):
            continue
        answer(midwife, row, YES if row["id"].startswith("pump") else THERE)


def open_kit(midwife) -> None:
    midwife.press(midwife.page.get_by_role("button", name="Kit"))
    midwife.expect_screen("kit")


def home_line(midwife):
    return midwife.page.get_by_role("button", name="Kit")


def facts(page) -> list[dict]:
    return [event["facts"] for event in kept_events(page) if event["kind"] == "kit_checked"]


def test_a_kit_checked_on_monday_says_so_after_restarts_without_network_or_history(served, profile, tmp_path):
    midwife = open_at(served_once(served, profile, tmp_path / "station"), served.url, MONDAY)
    expect(home_line(midwife)).to_contain_text(WORDS.text("home.kit.never"))
    open_kit(midwife)
    answer_all(midwife)
    assert midwife.heading() == WORDS.text("kit.state.complete")
    profile.kill()

    context = profile.start()
    context.add_init_script(f"({COUNTING})()")
    midwife = open_at(context, served.url, MONDAY + dt.timedelta(days=3))

    expect(home_line(midwife)).to_contain_text(WORDS.text("home.kit.complete", day=WORDS.text("day.d1")))
    expect(home_line(midwife)).to_contain_text(WORDS.text("home.kit.ago", n=3))
    assert "case.getAll" not in midwife.page.evaluate("window.reads")


@pytest.mark.parametrize(("minutes", "note"), [(-1, "home.kit.ago"), (1, "home.kit.old")], ids=["a minute less", "a minute more"])
def test_a_check_older_than_seven_days_is_said(station, context, minutes, note):
    midwife = open_at(context, station.url, MONDAY)
    open_kit(midwife)
    answer_all(midwife)

    midwife.wait(7 * DAY_S + minutes * 60)
    midwife.tap("app.back")

    expect(home_line(midwife).get_by_text(WORDS.text(note, n=7), exact=True)).to_be_visible()


def test_what_is_missing_is_counted_and_the_last_answer_counts(station, context):
    midwife = open_app(context, station.url)
    open_kit(midwife)
    answer_all(midwife)
    light, suture = (next(row for row in ROWS if row["id"] == name) for name in ("light", "suture"))

    answer(midwife, light, MISSING)
    answer(midwife, suture, MISSING)
    midwife.tap("app.back")

    expect(home_line(midwife)).to_contain_text(WORDS.text("home.kit.missing", day=WORDS.text("day.today"), n=2))
    open_kit(midwife)
    answer(midwife, light, THERE)
    answer(midwife, suture, THERE)
    assert midwife.heading() == WORDS.text("kit.state.complete")


@pytest.mark.parametrize(("then", "wait", "said", "is_held"), [
    (75, 61, "yes", True), (74, 61, "no", False), (76, 20, "unsure", True),
], ids=["as much as it may lose", "one more", "read again too early"])
def test_the_pump_is_judged_by_two_readings_a_minute_apart(station, context, then, wait, said, is_held):
    midwife = open_at(context, station.url, MONDAY)
    open_kit(midwife)
    midwife.tap("kit.pump_holds.read")
    midwife.type(80)
    expect(midwife.page.get_by_text("Read again in 1:00")).to_be_visible()
    midwife.wait(wait)
    midwife.type(then)

    assert facts(midwife.page) == [{
        "item": "pump_holds", "answer": said, "value": (80 - then) * 1000, "first": 80_000, "then": then * 1000, "unit": "kpa",
    }]
    expect(midwife.page.get_by_text(WORDS.text("kit.pump_holds.lost"))).to_have_count(int(not is_held))


def test_the_check_before_use_leaves_out_what_only_the_week_asks(station, context):
    midwife = open_app(context, station.url)
    open_kit(midwife)
    spare = midwife.page.get_by_role("heading", name=WORDS.text("kit.spare"))
    expect(spare).to_be_visible()

    midwife.tap("kit.use.before_use")

    expect(spare).to_have_count(0)


def test_an_answer_belongs_to_no_case_even_while_one_is_open(station, context):
    midwife = open_app(context, station.url)
    midwife.start("3")
    midwife.tap("app.back")
    open_kit(midwife)

    answer(midwife, ROWS[0], YES)

    told = [event for event in kept_events(midwife.page) if event["kind"] == "kit_checked"]
    assert [(event["case"], event["facts"]) for event in told] == [("", {"item": ROWS[0]["id"], "answer": "yes"})]
    midwife.tap("app.back")
    midwife.go_back_to_the_case()
    midwife.expect_screen("before")


def test_answers_whose_row_was_lost_are_looked_up(station, context):
    midwife = open_app(context, station.url)
    open_kit(midwife)
    answer_all(midwife)
    midwife.page.evaluate("""async () => {
      const buckets = [indexedDB, (await navigator.storageBuckets.open("mirror")).indexedDB];
      for (const factory of buckets) await new Promise((resolve) => {
        factory.open("journal").onsuccess = ({ target: { result } }) => {
          const change = result.transaction("meta", "readwrite");
          change.objectStore("meta").delete("kit");
          change.oncomplete = () => { result.close(); resolve(); };
        };
      });
    }""")

    midwife.page.reload()

    expect_told(midwife.page, "home.kit.complete", day=WORDS.text("day.today"))


def test_the_row_of_last_answers_stays_small_however_often_the_kit_is_checked(station, context):
    midwife = open_app(context, station.url)
    open_kit(midwife)
    answer_all(midwife)
    answer_all(midwife)

    row = midwife.page.evaluate("""async () => {
      const { openJournal } = await import(document.querySelector("script[type=module]").src.replace("app.js", "journal.js"));
      return JSON.stringify(await (await openJournal({ writer: false })).readMeta("kit"));
    }""")

    asked = {item["item"] for item in facts(midwife.page)}
    assert len(facts(midwife.page)) == 2 * len(asked)
    assert set(json.loads(row)["lines"]) == asked
    assert len(row) < 500 * len(ROWS)
