"""Find a text on a page as a person reads it: whatever spaces, values and isolates stand in it."""

import re

# What may stand before and after a value, beside a space.
_ISOLATES = re.compile(r"[\u2066-\u2069]")
_GAP = r"[\s\u2066-\u2069]"
_FIELD = re.compile(r"\\\{[a-z0-9_]+\\\}")


def pattern(text: str, *, begins: bool = True, whole: bool = False) -> re.Pattern:
    """Match what a key says: its label first, or that alone; a field of the text may hold anything."""
    spaced = re.sub(r"(\\?\s)+", lambda _: f"{_GAP}+", re.escape(_ISOLATES.sub("", text.strip())))
    body = _FIELD.sub(".+?", spaced)
    ends = f"{_GAP}*$" if whole else f"(?={_GAP}|$)"
    return re.compile(f"^{_GAP}*{body}{ends}" if begins else body)


def plain(text: str) -> str:
    """Leave the isolates out, as the eye does."""
    return _ISOLATES.sub("", text)
