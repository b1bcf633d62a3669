"""Two languages that nobody speaks, made for looking at layouts.

``en-XA`` is long and accented: a text that is cut off or was never given to the
translator shows at once. ``ar-XB`` has Arabic letters and runs from right to left.
Neither may ever stand in ``translations/``: the builder of packs refuses both, and a tablet takes them
for ready only where a test says so.
"""

import re
import shutil
from collections.abc import Callable
from pathlib import Path

from checklist.tables import TRANSLATIONS
from checklist.translation.catalog import write_catalog
from checklist.translation.source import SOURCE, read_source
from checklist.translation.table import read_language

PSEUDO = ("en-XA", "ar-XB")
LATIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
ACCENTED = dict(zip(LATIN, "åƀçđéƒĝĥíĵķłɱñóþɋŕšţúṽŵẋýžÅƁÇĐÉƑĜĤÍĴĶŁṀÑÓÞɊŔŠŢÚṼŴẊÝŽ", strict=True))
ARABIC = dict(zip(LATIN[:26], "ابثدعفجهيژكلمنوپقرستحڤغخطز", strict=True))
FIELD = re.compile(r"(\{[a-z0-9_]+\})")
# How much longer a translation gets, by the length of the source: the table that W3C
# prints in "Text size in translation". The shortest texts are held to twice.
GROWTH = ((10, 2.0), (20, 1.8), (30, 1.6), (50, 1.5), (70, 1.5), (10**9, 1.3))


def pseudo_translations(folder: Path) -> Path:
    """Copy the translations into a folder and add both languages to them."""
    shutil.copytree(TRANSLATIONS, folder)
    _add(folder, "en-XA", "ltr", longer)
    _add(folder, "ar-XB", "rtl", arabic)
    return folder


def longer(text: str) -> str:
    """Accent every letter, put brackets round it and pad it."""
    wanted = int(len(text) * next(factor for limit, factor in GROWTH if len(text) <= limit))
    padding = " ñéẋţ" * max(0, (wanted - len(text) - 2 + 4) // 5)
    return f"⟦{_mapped(text, ACCENTED)}{padding}⟧"


def arabic(text: str) -> str:
    """Write every letter as an Arabic one."""
    return _mapped(text.lower() if not FIELD.search(text) else text, ARABIC)


def _mapped(text: str, letters: dict[str, str]) -> str:
    def changed(part: str) -> str:
        if FIELD.fullmatch(part):
            return part
        return "".join(letters.get(letter, letters.get(letter.lower(), letter)) for letter in part)

    return "".join(changed(part) for part in FIELD.split(text))


def _add(folder: Path, tag: str, direction: str, make: Callable[[str], str]) -> None:
    table = (folder / SOURCE / "language.toml").read_text(encoding="utf-8")
    table = table.replace('tag = "en"', f'tag = "{tag}"').replace('name = "English"', f'name = "{tag}"')
    table = table.replace('dir = "ltr"', f'dir = "{direction}"')
    (folder / tag).mkdir(parents=True)
    (folder / tag / "language.toml").write_text(table, encoding="utf-8")
    source = read_source(folder / SOURCE)
    forms = {name: [make(text) for text in (one.text, one.plural) if text is not None] for name, one in source.items()}
    write_catalog(folder / tag, read_language(folder / tag), source, forms, dict.fromkeys(source, "draft"))
