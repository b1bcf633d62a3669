"""Find one English said in two ways, and two Englishes said in one: both confuse by the bed.

Neither is surely wrong, so a person looks at the pairs side by side.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from checklist.translation.checks import WARN, Finding
from checklist.translation.source import Entry

# More of them would fill a line that nobody reads.
MOST_NAMED = 4


def inconsistent(source: Mapping[str, Entry], forms: Mapping[str, Sequence[str]]) -> dict[str, list[Finding]]:
    """Give for each id the ids that it does not go together with: {id: [Finding]}."""
    by_english, by_words = defaultdict(dict), defaultdict(dict)
    for name, said in forms.items():
        if name in source and any(said):
            english = (source[name].text.casefold(), source[name].plural)
            words = tuple(form.casefold() for form in said)
            by_english[english].setdefault(words, []).append(name)
            by_words[words].setdefault(english, []).append(name)
    found: dict[str, list[Finding]] = defaultdict(list)
    for code, groups in (("said-in-two-ways", by_english), ("said-alike", by_words)):
        for ways in groups.values():
            for way, names in ways.items() if len(ways) > 1 else ():
                others = [name for other, told in ways.items() if other != way for name in told]
                for name in names:
                    found[name].append(Finding(WARN, code, ", ".join(others[:MOST_NAMED])))
    return dict(found)
