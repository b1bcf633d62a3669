"""Both halves know the same errors."""

import pytest

from checklist.errors import ERRORS, ChecklistError


@pytest.fixture(scope="module")
def javascript_codes(modules_page):
    return modules_page.evaluate("async () => (await import('/errors.js')).ERRORS")


def test_both_tables_hold_the_same_codes_in_the_same_order(javascript_codes):
    assert javascript_codes == list(ERRORS)


def test_a_code_that_is_not_in_the_table_is_a_mistake_of_the_program(modules_page):
    refused = modules_page.evaluate(
        "async () => { const { ChecklistError } = await import('/errors.js');"
        " try { new ChecklistError('made_up'); return ''; } catch (error) { return error.name; } }"
    )

    assert refused == "RangeError"
    with pytest.raises(KeyError):
        ChecklistError("made_up")
