"""Cut the fonts that the app ships out of Debian's fonts-noto-core, for whoever adds a script.

    python -m tests.fonts            # writes static/fonts/*.woff2
    python -m tests.fonts --check    # says whether they are what this would write

A tablet may lack the letters of a language, or draw them small and faint. Each file holds one
script in one weight, with all rules of joining kept; the browser reads it only when a letter asks.
"""

import argparse
import io
import sys
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from checklist.tables import STATIC

FROM = Path("/usr/share/fonts/truetype/noto")
FOLDER = STATIC / "fonts"
WEIGHTS = ("Regular", "Bold")
# Script: the font it is cut from, and the letters; css/fonts.css names the same ranges.
CUTS = {
    "arabic": ("NotoSansArabic", [(0x0600, 0x06FF), (0x0750, 0x077F), (0x08A0, 0x08FF)]),
    "latin-ext": ("NotoSans", [(0x0100, 0x024F), (0x1E00, 0x1EFF)]),
}


def cut(script: str, weight: str) -> bytes:
    """Give one script in one weight as WOFF2."""
    name, ranges = CUTS[script]
    font = TTFont(FROM / f"{name}-{weight}.ttf", recalcTimestamp=False)
    options = Options(flavor="woff2", layout_features=["*"], hinting=False, name_IDs=[0, 1, 2, 5, 13, 14], notdef_outline=True)
    cutter = Subsetter(options)
    cutter.populate(unicodes=[letter for first, last in ranges for letter in range(first, last + 1)])
    cutter.subset(font)
    font.flavor = "woff2"
    written = io.BytesIO()
    font.save(written)
    return written.getvalue()


def main() -> None:
    """Write the fonts, or check them."""
    parser = argparse.ArgumentParser(prog="python -m tests.fonts", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="write nothing; end with 1 where a file differs")
    told = parser.parse_args()
    FOLDER.mkdir(exist_ok=True)
    differing = 0
    for script in CUTS:
        for weight in WEIGHTS:
            path, data = FOLDER / f"{script}-{weight.lower()}.woff2", cut(script, weight)
            if told.check and (not path.is_file() or path.read_bytes() != data):
                differing += 1
                print(f"{path.name} differs")
            elif not told.check:
                path.write_bytes(data)
                print(f"{path.name} {len(data)} bytes")
    sys.exit(1 if differing else 0)


if __name__ == "__main__":
    main()
