"""A small translations folder, and people at work in it."""

from pathlib import Path

from checklist.translation import table_review

TABLE = """
tag = "en"
name = "English"
dir = "ltr"
script = "Latn"
decimal = "."
order = "nu"
plural_forms = "nplurals=2; plural=(n != 1);"
[units]
kpa = "kPa"
"""
BED = """
["bed.stop"]
text = "Do not pull."
max = 40
safety = true
note = "A stop"
["bed.limit"]
text = "At most {most} kPa."
max = 40
safety = true
note = "A limit"
["spoken.pull"]
text = "Pull {n}."
max = 24
safety = true
note = "Heard"
values = [{ n = 1 }, { n = 2 }]
"""
DESK = """
["desk.title"]
text = "Cases"
max = 20
safety = false
note = "Heading"
["desk.pulls"]
text = "{n} pull"
plural = "{n} pulls"
max = 20
safety = false
note = "A count"
"""
LISTS = """
[[list]]
id = "bedside"
pages = ["home"]
files = ["bed"]
[[list]]
id = "desk"
pages = ["cases"]
files = ["desk"]
"""
SAID = {
    "bed.stop": ["Usivute."], "bed.limit": ["Si zaidi ya {most} kPa."], "spoken.pull": ["Vuta {n}."],
    "desk.title": ["Kesi"], "desk.pulls": ["Vuta moja ({n})", "Vuta nyingi ({n})"],
}
WRITER, CHECKER, READER, LEAD = "Asha", "Ben", "Dara", "Chandra"


def fill(folder: Path) -> Path:
    """Write the small folder; gives it."""
    (folder / "en" / "words").mkdir(parents=True)
    (folder / "en" / "language.toml").write_text(TABLE)
    (folder / "en" / "words" / "bed.toml").write_text(BED)
    (folder / "en" / "words" / "desk.toml").write_text(DESK)
    (folder / "lists.toml").write_text(LISTS)
    return folder


def change_english(shipped: Path, old: str, new: str) -> None:
    """Change a sentence of the source, as a new release would."""
    for path in (shipped / "en" / "words").glob("*.toml"):
        path.write_text(path.read_text().replace(old, new))


def write(folder, name, forms=None, by=WRITER, how="person", at=1):
    """Write a text on top of what stands."""
    return folder.write(name, forms or SAID[name], by, how, at, folder.tgt(name))


def answers(folder, name):
    """Answer whatever a check asks."""
    return {finding.code: "looked at it" for finding in folder.findings(name) if finding.level == "ask"}


def check(folder, name, by=CHECKER, at=2):
    """Check a text as a second person."""
    folder.check(name, by, at, answers(folder, name))


def translate_back(folder, name, by=READER, judge=LEAD, same=True, at=3):
    """Say what a text means, and let the lead judge it."""
    folder.back(name, by, at, "what it says")
    folder.judge(name, judge, at + 1, same)


def finish(folder, list_id=None, at=10):
    """Bring one list, or all, to approval."""
    for one in [list_id] if list_id else folder.lists:
        for name in folder.lists[one].ids(folder.source):
            write(folder, name, at=at)
            check(folder, name, at=at + 1)
            if folder.source[name].safety:
                translate_back(folder, name, at=at + 2)
        folder.approve(one, LEAD, at + 5)
    folder.approve_table(LEAD, at, table_review.seen(folder.language))
