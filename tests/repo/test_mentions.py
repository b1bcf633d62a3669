"""The finder of words ids finds them, or the checks on words would prove nothing."""

from tests.repo.mentions import GAP, called, in_page, in_python, in_script, in_table, pattern


def test_a_script_names_ids_whole_and_with_gaps():
    script = 'text("page.title"); text(`limit.${row.id}.stop`); text("mode." + mode); go("./x.js")'

    assert in_script(script) >= {"page.title", f"limit.{GAP}.stop"}
    assert called(script) == {"page.title"}


def test_a_script_names_the_beginning_that_ids_share():
    script = 'choices("role", ROLES, "before.why"); id.replace("now.", "now.more.")'

    assert in_script(script) >= {f"role.{GAP}", f"before.why.{GAP}", f"now.more.{GAP}"}


def test_a_template_names_ids_even_inside_an_attribute():
    page = '<nav aria-label="{{ text("page.nav") }}">{{ text("page.mode." ~ mode) }}</nav>'

    assert in_page(page) >= {"page.nav"}
    assert called(page) == {"page.nav"}


def test_python_names_ids_in_strings_and_f_strings():
    assert in_python('a = pack.text("page.title"); b = f"problem.{code}"') == {
        "page.title",
        f"problem.{GAP}",
    }


def test_a_protocol_names_ids_at_any_depth():
    assert in_table({"rows": [{"message": "limit.a.stop", "at": 3, "unit": "min"}]}) == {
        "limit.a.stop"
    }


def test_a_gap_in_the_middle_is_one_segment_and_at_the_end_one_or_more():
    middle, end = pattern(f"limit.{GAP}.stop"), pattern(f"before.{GAP}")

    assert middle.fullmatch("limit.pulls.stop")
    assert not middle.fullmatch("limit.pulls.more.stop")
    assert end.fullmatch("before.bladder.empty.why")
    assert not end.fullmatch("after.bladder")


def test_a_name_that_begins_with_a_gap_vouches_for_nothing():
    assert in_script("text(`${page}.title`)") == set()
