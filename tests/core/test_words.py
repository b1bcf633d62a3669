"""Words of a pack, in both halves: numbers with units, values in texts, plural forms."""

import json

import pytest

from checklist.errors import ChecklistError
from checklist.language import Pack
from checklist.translation.table import plural_table
from tests.examples import VECTORS, by_name

TOLD = json.loads((VECTORS / "words.json").read_text(encoding="utf-8"))
EXAMPLES = TOLD["examples"]
TABLES = {
    tag: {**{key: told[key] for key in ("dir", "decimal", "order", "units", "m")}, "lang": tag, "name": tag, "plural": plural_table(told["plural_forms"])}
    for tag, told in TOLD["languages"].items()
}
_RUN = """async ([tables, examples]) => {
  const { makeWords } = await import("/language.js");
  const words = Object.fromEntries(Object.entries(tables).map(([tag, pack]) => [tag, makeWords(pack, tables.en)]));
  return examples.map(({ lang, do: name, args }) => {
    try {
      return { gives: words[lang][name](...args) };
    } catch (error) {
      if (error.name !== "ChecklistError") throw error;
      return { fails: error.code };
    }
  });
}"""


def pack(tag: str) -> Pack:
    """Make the pack of a table of the examples, the source's words behind it."""
    table, source = TABLES[tag], None if tag == "en" else pack("en")
    behind = source.messages if source else {}
    rest = {key: value for key, value in table.items() if key != "m"}
    return Pack(**rest, messages=behind | table["m"], own=frozenset(table["m"]), source=source)


def python_says(example: dict) -> dict:
    words = pack(example["lang"])
    try:
        if example["do"] in ("text", "whole"):
            name, values = example["args"]
            return {"gives": getattr(words, example["do"])(name, **values)}
        return {"gives": getattr(words, example["do"])(*example["args"])}
    except ChecklistError as error:
        return {"fails": error.code}


def expected(example: dict) -> dict:
    return {key: example[key] for key in ("gives", "fails") if key in example}


@pytest.mark.parametrize("example", EXAMPLES, ids=by_name)
def test_the_station_says_it(example):
    assert python_says(example) == expected(example)


def test_the_tablet_says_all_of_it_in_the_same_way(modules_page):
    told = modules_page.evaluate(_RUN, [TABLES, EXAMPLES])

    assert len(told) >= 200
    assert [(example["name"], said) for example, said in zip(EXAMPLES, told, strict=True) if said != expected(example)] == []


def test_what_the_source_says_in_place_of_an_unfit_text_is_marked(modules_page):
    told = modules_page.evaluate("""async (tables) => {
      const { makeWords } = await import("/language.js");
      const words = makeWords(tables.fr, tables.en);
      words.text("wide", { n: 2 });
      const before = [...words.foreign];
      words.text("wide", { n: 1 });
      return [before, [...words.foreign], words.isForeign("wide", { n: 1 }), words.isForeign("wide", { n: 2 })];
    }""", TABLES)

    assert told == [[], ["narrow 1"], True, False]


def test_the_language_says_what_stands_between_two_things(modules_page):
    told = modules_page.evaluate("""async (tables) => {
      const { makeWords } = await import("/language.js");
      const words = (tag) => makeWords(tables[tag], tables.en);
      return ["en", "sw", "ar", "fr"].map((tag) => [words(tag).comma(), words(tag).semicolon()]);
    }""", TABLES)

    assert told == [[", ", "; "], [", ", "; "], ["\u060c ", "\u061b "], [", ", "; "]]


@pytest.mark.parametrize(("lang", "unit", "said"), [
    ("en", "kpa", "60.5 > 80\u00a0kPa"), ("fr", "kpa", "60,5 > 80\u00a0kPa"), ("sw", "kpa", "kPa\u00a060.5 > 80"),
    ("sw", "/min", "60.5 > 80\u00a0/min"),
])
def test_the_unit_of_a_range_stands_once_where_the_language_puts_it(modules_page, lang, unit, said):
    told = modules_page.evaluate("""async ([tables, lang, unit]) => {
      const { makeWords } = await import("/language.js");
      const words = makeWords(tables[lang], tables.en);
      const both = [words.ends(60.5, 80, unit), ...(unit === "kpa" ? [words.readingEnds(unit, 60000, 80000)] : [])];
      return both.map(({ low, high }) => `${low} > ${high}`);
    }""", [TABLES, lang, unit])

    assert told[0] == said and told[1:] == ([said.replace("60.5", "60").replace("60,5", "60")] if unit == "kpa" else [])
