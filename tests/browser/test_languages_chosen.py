"""How a language comes onto a tablet: nobody waits for a draft, and a sound one is not lost with another."""

import pytest

# One language of each kind; `arrive(tag)` lets its pack come, `fail(tag)` says that it cannot be had.
_LANGUAGES = """async ([chosen, atOnce, steps]) => {
  const { readLanguages } = await import("/languages.js");
  const table = { dir: "ltr", decimal: ".", order: "nu", units: {}, plural: "1".repeat(200) };
  const packs = [["en", "source", []], ["fr", "ready", ["es"]], ["es", "ready", []], ["sw", "draft", ["es"]]]
    .map(([tag, kind, fallback]) => ({ tag, kind, fallback, name: tag, sample: "", lists: { bedside: true } }));
  const waiting = new Map();
  const end = (tag, how) => { for (const one of waiting.get(tag) ?? []) one[how](); waiting.delete(tag); };
  const read = (path) => new Promise((resolve, reject) => {
    const tag = path.split("/")[1].split(".")[0];
    const { kind } = packs.find((one) => one.tag === tag);
    const one = { arrive: () => resolve({ ...table, lang: tag, name: tag, kind, m: {} }), fail: () => reject(new Error(tag)) };
    if (atOnce[tag]) one[atOnce[tag]]();
    else waiting.set(tag, [...waiting.get(tag) ?? [], one]);
  });
  const languages = await Promise.race([
    readLanguages({ contents: { packs, pages: { pull: "bedside" } }, read, language: chosen }),
    new Promise((resolve, reject) => { setTimeout(() => reject(new Error("it waits")), 1000); }),
  ]);
  const told = [];
  const settle = () => new Promise((resolve) => { setTimeout(resolve, 20); });
  for (const [what, tag] of steps) {
    if (what === "choose") languages.choose(tag).catch(() => {});
    else if (what === "look") told.push([languages.chosen(), languages.words("pull", true).lang]);
    else end(tag, what);
    await settle();
  }
  return told;
}"""


@pytest.fixture
def spoken(modules_page):
    """Choose among languages: spoken(chosen, at_once, *steps) -> [[chosen, spoken in practice]] at each look."""
    return lambda chosen, at_once, *steps: modules_page.evaluate(_LANGUAGES, [chosen, at_once, steps])


ALL = {"en": "arrive", "fr": "arrive", "es": "arrive"}


def test_a_draft_comes_behind_the_first_picture(spoken):
    told = spoken("sw", ALL, ["look", ""], ["arrive", "sw"], ["look", ""])

    assert told == [["sw", "es"], ["sw", "sw"]]


def test_where_a_draft_cannot_be_had_its_stand_in_goes_on_and_it_can_be_asked_for_again(spoken):
    told = spoken("sw", ALL, ["fail", "sw"], ["look", ""], ["choose", "sw"], ["arrive", "sw"], ["look", ""])

    assert told == [["sw", "es"], ["sw", "sw"]]


def test_where_a_language_cannot_be_read_its_stand_in_speaks(spoken):
    assert spoken("fr", ALL | {"fr": "fail"}, ["look", ""]) == [["fr", "es"]]


@pytest.mark.parametrize("how", ["fail", "arrive"])
def test_a_language_speaks_without_the_one_that_would_stand_in_for_it(spoken, how):
    told = spoken("fr", ALL | {"es": how}, ["look", ""])

    assert told == [["fr", "fr"]]


@pytest.mark.parametrize("late", ["arrive", "fail"])
def test_of_two_languages_tapped_the_newer_speaks(spoken, late):
    told = spoken("en", {"en": "arrive", "es": "arrive"}, ["choose", "fr"], ["choose", "es"], [late, "fr"], ["look", ""])

    assert told == [["es", "es"]]
