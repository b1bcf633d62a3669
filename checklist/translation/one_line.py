"""Keep a number and its unit on one line."""

import re
import unicodedata
from typing import Protocol

NO_BREAK = "\u00a0"
# What is counted in a minute stands behind its number everywhere: "142 /min".
RATE = "/"


class Table(Protocol):
    """What a language or its pack says of units: {unit: sign}, and which of number and unit stands first."""

    units: dict[str, str]
    order: str


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
