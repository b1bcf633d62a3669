"""Keep a value in its own order within a text that runs from the right."""

import re
import unicodedata

# What begins and ends an isolated value, by where its sentence begins: as its first letter says, or from the right.
_BEGIN, _BEGIN_RIGHT, _END = "\u2068", "\u2067", "\u2069"
# Letters alone, as the tablet tells them: signs and digits of these scripts stand in texts that run from the left, too.
_FROM_RIGHT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U00010fff\U0001e800-\U0001efff]")


def isolate(value: str) -> str:
    """Isolate a value for a text that runs from the right, so that it keeps its own order there.

    One of both kinds of letters runs as the text does, whichever kind it begins with.
    """
    return f"{_BEGIN_RIGHT if runs_from_right(value) else _BEGIN}{value}{_END}" if value else ""


def runs_from_right(text: str) -> bool:
    """Tell whether a text has letters that run from the right."""
    return any(unicodedata.category(sign)[0] == "L" for sign in _FROM_RIGHT.findall(text))
