"""What is printed in other languages: nothing cut, nothing on top of anything, in the order of the language."""

import pytest

from tests.browser.papers import as_paper, every_paper
from tests.browser.looks import hands_in
from tests.pdf import sheets

MOST_SHEETS = {"card": 1, "record": 4, "handover": 2}


# Every language is looked at by command: python -m tests.layouts
@pytest.mark.parametrize("language", ["en-XA", "ar"])
def test_every_paper_is_whole(browser, foreign, language):
    faults = []
    with hands_in(browser, foreign, language) as hands:
        for name in every_paper(hands):
            look = as_paper(hands)
            faults += [f"{name}: {fault}" for fault in [*look["cut"], *look["over"]]]
            printed = len(sheets(hands.page))
            faults += [f"{name}: {printed} sheets"] if printed > MOST_SHEETS[name] else []

    assert faults == []
