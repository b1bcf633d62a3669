"""What stands in the source language is marked where it is drawn, printed and put into a file, and nothing else is."""

import json

import pytest

from tests.browser.tongues import ENGLISH, TAG, taken
from tests.halves import open_modules


def pack(*stale: str) -> dict:
    """Give the two packs that the modules read: the source, and French without the `stale` ids."""
    return {"en": json.loads(ENGLISH.as_json()), TAG: json.loads(taken(stale=stale).as_json())}


def run(page, script: str, *stale: str, arg: object = None):
    """Run a script with `words` at hand."""
    return page.evaluate("""async ([packs, body, arg]) => {
      const { makeWords } = await import("/language.js");
      const words = makeWords(packs.fr, packs.en);
      return await (new (Object.getPrototypeOf(async () => {}).constructor)("words", "arg", body))(words, arg);
    }""", [pack(*stale), script, arg])


def test_a_line_of_a_handover_is_marked_on_the_page_and_in_its_file(modules_page):
    told = run(modules_page, """
      const { lineOf, lineText, plainText } = await import("/ui/handover_words.js");
      const row = { id: "given_at", values: { time: { text: "08:00" }, who: { text: "N" }, place: null } };
      const nodes = lineOf(words, row);
      return [nodes.length, nodes[0].className, nodes[0].querySelectorAll("bdi").length, lineText(words, row), plainText(words, "handover.notes")];
    """, "handover.given_at", "handover.notes")

    assert told[:3] == [1, "not-yet", 2]
    assert told[3].startswith("[English] ") and told[4] == f"[English] {ENGLISH.text('handover.notes')}"


def test_a_line_that_is_translated_has_no_mark_in_its_file(modules_page):
    told = run(modules_page, """
      const { lineText } = await import("/ui/handover_words.js");
      return lineText(words, { id: "given_at", values: { time: { text: "08:00" }, who: { text: "N" }, place: { text: "K" } } });
    """)

    assert "English" not in told


def test_a_list_in_a_file_runs_as_its_line_does_whatever_letters_it_begins_with(modules_page):
    told = run(modules_page, """
      const { makeWords } = await import("/language.js");
      const { lineText } = await import("/ui/handover_words.js");
      const given = { all: [{ text: "Oxytocin" }, { beside: [{ n: 10, unit: "" }, { text: "HIV، دواء" }] }] };
      return lineText(makeWords({ ...arg.fr, dir: "rtl" }, arg.en), { id: "given_at", values: { time: given, who: null, place: null } });
    """, arg=pack())

    assert "\u2068Oxytocin\u2069, \u206810\u2069 \u2067HIV، دواء\u2069" in told


def test_an_answer_in_the_list_of_entries_is_told_with_its_unit(modules_page):
    told = run(modules_page, """
      const { eventDetail } = await import("/ui/event_words.js");
      const answered = (item, value) => eventDetail(words, { kind: "check_answered", facts: { item, answer: "value", value } });
      return [[answered("weeks", 275), words.text("before.weeks_days", { w: 39, d: 2 })], [answered("fetal_heart", 142), words.quantity(142, "bpm")]];
    """)

    assert all(wanted in shown for shown, wanted in told)


def test_what_a_newer_version_told_is_said_by_its_name(modules_page):
    told = run(modules_page, """
      const { eventDetail } = await import("/ui/event_words.js");
      const said = (kind, facts) => eventDetail(words, { kind, facts });
      return [said("check_answered", { item: "moon", answer: "full" }), said("check_answered", { item: "step_dry", answer: "done" }),
        said("check_answered", { item: "cup_kind", answer: "unsure" }), said("help_called", { what: "drone", who: "pilot" })];
    """)

    assert told == ["moon: full", "dry: Fait", "Je ne sais pas", "drone, pilot"]


def test_an_amount_and_a_list_that_stand_in_the_source_language_are_marked_in_a_text_from_the_right(modules_page):
    told = run(modules_page, """
      const { makeWords } = await import("/language.js");
      const words_ = makeWords({ ...arg.fr, dir: "rtl" }, arg.en);
      const amount = words_.whole("after.amount.iu", { n: 10 });
      const list = words_.listed([amount, "N"]);
      return [amount, list].map((one) => words_.foreign.has(one));
    """, arg=pack("after.amount.iu"))

    assert told == [True, True]


@pytest.mark.parametrize(("html", "marks"), [
    ("<p>{text}</p>", 1),
    ("<p><bdi>{text}</bdi></p>", 1),
    ("<p><bdi>{text} of Velindi</bdi></p>", 0),
    ('<p class="note" dir="auto">{text}</p>', 0),
    ("<textarea>{text}</textarea>", 0),
    ("<p>✓</p>", 0),
])
def test_what_people_wrote_and_what_has_no_letters_is_not_marked(modules_page, html, marks):
    found = run(modules_page, """
      const { markForeign } = await import("/ui/not_yet.js");
      words.foreign.add("✓");
      const root = document.createElement("div");
      const text = words.text("home.settings");
      root.append(new DOMParser().parseFromString(arg.replace("{text}", text), "text/html").body);
      markForeign(root, words);
      markForeign(root, words);
      return root.querySelectorAll(".not-yet").length;
    """, "home.settings", arg=html)

    assert found == marks


def test_a_label_of_a_drawing_says_its_language(modules_page):
    told = run(modules_page, """
      const { markForeign } = await import("/ui/not_yet.js");
      const { fifthsDrawing } = await import("/ui/fifths.js");
      const root = document.createElement("div");
      root.append(fifthsDrawing(words));
      markForeign(root, words);
      return [...root.querySelectorAll("text.not-yet-drawn")].map((one) => [one.textContent, one.getAttribute("lang")]);
    """, "before.fifths.brim")

    assert told == [[ENGLISH.text("before.fifths.brim"), "en"]]


def test_what_marks_lines_is_asked_for_again_when_it_could_not_be_read(browser):
    with open_modules(browser) as page:
        page.route("**/ui/not_yet.js", lambda route: route.abort(), times=1)

        told = page.evaluate("""async () => {
          const { openPageWords } = await import("/page_words.js");
          const speech = openPageWords({ languages: {}, isDemo: false });
          const words = { kind: "ready", lang: "fr", dir: "ltr", foreign: new Set(), text: (id) => id };
          const told = [];
          for (const turn of [1, 2]) {
            speech.follow(words, document.body, () => told.push(turn));
            await new Promise((resolve) => { setTimeout(resolve, 500); });
          }
          return told;
        }""")

    assert told == [2]


@pytest.mark.parametrize(("text", "page", "runs"), [
    ("HIV، دواء", "rtl", "rtl"), ("HIV، دواء", "ltr", "auto"), ("80 kPa", "rtl", "ltr"), ("دواء", "rtl", "rtl"),
])
def test_a_value_of_both_kinds_of_letters_runs_as_a_page_from_the_right_does(modules_page, text, page, runs):
    told = modules_page.evaluate("""async ([text, page]) => {
      const { value } = await import("/ui/dom.js");
      document.documentElement.dir = page;
      const { dir } = value(text);
      document.documentElement.removeAttribute("dir");
      return dir;
    }""", [text, page])

    assert told == runs


@pytest.mark.parametrize(("order", "shown"), [("nu", "500 мм рт. ст."), ("un", "мм рт. ст. 500")])
def test_a_reading_whose_sign_has_several_words_is_whole_in_its_key(modules_page, order, shown):
    told = run(modules_page, """
      const { makeWords } = await import("/language.js");
      const { stacked } = await import("/pages/suction_answers.js");
      const units = { ...arg.packs.fr.units, mmhg: "мм рт. ст." };
      return stacked(makeWords({ ...arg.packs.fr, units, order: arg.order }, arg.packs.en), "mmhg", 500000).textContent;
    """, arg={"packs": pack(), "order": order})

    assert told == shown
