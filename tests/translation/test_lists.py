"""Each page draws only words of its list, and a list is ready only when all of them are."""

import pytest

from checklist.errors import ChecklistError
from checklist.tables import TRANSLATIONS
from checklist.translation.lists import is_enough, read_lists, readiness
from checklist.translation.source import Entry, read_source
from tests.repo.mentions import GAP, ROOT, in_page, in_python, in_script, pattern
from tests.translation.drawn import drawn, pages

SOURCE = read_source(TRANSLATIONS / "en")
LISTS = read_lists(TRANSLATIONS)
PAGES = pages()


def of_page(page):
    return next((one for one in LISTS.values() if page in one.pages), None)


def test_every_page_is_in_exactly_one_list():
    told = [page for one in LISTS.values() for page in one.pages]

    assert len(PAGES) >= 17
    assert sorted(told) == sorted(PAGES)


@pytest.mark.parametrize("shown", PAGES)
def test_a_page_draws_no_word_outside_the_files_of_its_list(shown):
    files = of_page(shown).files
    outside = {name: SOURCE[name].file for name in drawn(PAGES[shown], set(SOURCE)) if SOURCE[name].file not in files}

    assert outside == {}


def test_the_finder_finds_what_a_page_draws_or_the_test_above_would_prove_nothing():
    found = drawn(PAGES["pull"], set(SOURCE))

    assert {"pull.pull", "limit.descent_pulls.stop", "kind.pull_began"} <= found
    assert "settings.theme" not in found and "settings.theme" in drawn(PAGES["settings"], set(SOURCE))


@pytest.mark.parametrize("shown", ["pull", "settings"])
def test_what_the_foot_switch_says_is_in_the_list_of_every_page_that_asks_it(shown):
    # It is handed to a page with the view, so no import of the page leads to its words.
    said = in_script((ROOT / "static" / "foot.js").read_text(encoding="utf-8")) & set(SOURCE)

    assert said == {"foot.unseen", "foot.seen", "foot.seen_long"}
    assert {SOURCE[name].file for name in said} <= set(of_page(shown).files)


@pytest.mark.parametrize("name", [name for name, one in LISTS.items() if one.pages])
def test_no_file_of_a_list_is_drawn_by_none_of_its_pages(name):
    # What is heard is named by convention; and a file too many would keep a list from being ready.
    found = {SOURCE[each].file for one in LISTS[name].pages for each in drawn(PAGES[one], set(SOURCE))}

    assert set(LISTS[name].files) - found <= {"spoken"}


@pytest.mark.parametrize("name", LISTS)
def test_the_files_of_a_list_are_there(name):
    files = {entry.file for entry in SOURCE.values()}

    assert set(LISTS[name].files) <= files
    assert sorted(LISTS[name].files) == list(LISTS[name].files)


def test_every_word_file_is_in_some_list():
    assert {entry.file for entry in SOURCE.values()} == {file for one in LISTS.values() for file in one.files}


def test_what_is_heard_in_a_birth_belongs_to_the_bedside():
    assert "spoken" in LISTS["bedside"].files


def test_the_pages_of_the_station_draw_no_word_outside_its_list():
    names = set()
    for path in (ROOT / "checklist").rglob("*.py"):
        if "translation" not in path.parts:
            names |= in_python(path.read_text(encoding="utf-8"))
    for suffix in ("*.html", "*.svg", "*.txt"):
        for path in (ROOT / "checklist").rglob(suffix):
            names |= in_page(path.read_text(encoding="utf-8"))
    shapes = [pattern(name) for name in names if GAP in name]

    found = {name for name in SOURCE if name in names or any(shape.fullmatch(name) for shape in shapes)}

    assert {name: SOURCE[name].file for name in found if SOURCE[name].file not in LISTS["station"].files} == {}


def entry(name, safety):
    return Entry(name, name.split(".")[0], "x", None, "", 9, safety)


def test_a_list_is_ready_when_every_safety_text_is_approved_and_every_other_checked(tmp_path):
    (tmp_path / "lists.toml").write_text('[[list]]\nid = "a"\nfiles = ["a"]\n[[list]]\nid = "b"\nfiles = ["a", "b"]\n')
    lists = read_lists(tmp_path)
    source = {each.id: each for each in (entry("a.stop", True), entry("a.title", False), entry("b.more", False))}

    ready = readiness(lists, source, out(source, {"a.stop": "approved", "a.title": "checked", "b.more": "draft"}))
    short = readiness(lists, source, out(source, {"a.stop": "checked", "a.title": "approved", "b.more": "missing"}))

    assert ready["a"].ready and ready["b"].missing == ("b.more",)
    assert short["a"].missing == ("a.stop",) and short["b"].missing == ("a.stop", "b.more")


def out(source, states):
    return {name for name, state in states.items() if not is_enough(source[name], state)}


@pytest.mark.parametrize("told", ["", "[[list]]\n", '[[list]]\nid = "a"\n', "list = 3", "nonsense"])
def test_a_table_of_lists_that_cannot_be_read_is_refused(tmp_path, told):
    (tmp_path / "lists.toml").write_text(told)

    with pytest.raises(ChecklistError) as refused:
        read_lists(tmp_path)

    assert refused.value.code == "language_malformed"
