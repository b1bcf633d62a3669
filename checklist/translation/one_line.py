"""Keep what belongs together in a line: a number and its unit, and a value in its own order."""

import re
import unicodedata
from typing import Protocol

NO_BREAK = "\u00a0"
# What is counted in a minute stands behind its number everywhere: "142 /min".
RATE = "/"
# What begins and ends an isolated value, by where its sentence begins: as its first letter says, or from the right.
_BEGIN, _BEGIN_RIGHT, _END = "\u2068", "\u2067", "\u2069"


class Table(Protocol):
    """What a language or its pack says of units: {unit: sign}, and which of number and unit stands first."""

    units: dict[str, str]
    order: str


def isolate(value: str) -> str:
    """Isolate a value for a text that runs from the right, so that it keeps its own order there.

    One of both kinds of letters runs as the text does, whichever kind it begins with.
    """
    return f"{_BEGIN_RIGHT if runs_from_right(value) else _BEGIN}{value}{_END}" if value else ""


def runs_from_right(text: str) -> bool:
    """Tell whether a text has letters that run from the right."""
    return any(unicodedata.bidirectional(sign) in ("R", "AL") for sign in text)


def on_one_line(text: str | list[str], table: Table) -> str | list[str]:
    """Let no line break between a number of a text and its unit, in the order of the language."""
    if not isinstance(text, str):
        return [on_one_line(form, table) for form in text]
    # To look is a tenth of the work of an expression, and most texts hold no unit.
    for sign in filter(text.__contains__, table.units.values()):
        text = _joined(text, sign, table.order == "un" and not sign.startswith(RATE))
    return text


def _joined(text: str, sign: str, is_first: bool) -> str:
    def whole(found: re.Match) -> str:
        beside = found.start() - 1 if is_first else found.end()
        # A letter there, or a mark on one, makes a word of it.
        is_sign = beside < 0 or unicodedata.category(text[beside:beside + 1] or " ")[0] not in "LM"
        return found[0].replace(" ", NO_BREAK) if is_sign else found[0]

    return re.sub(rf"{re.escape(sign)} (?=[\d{{])" if is_first else rf"(?<=[\d}}]) {re.escape(sign)}", whole, text)
