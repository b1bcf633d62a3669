"""What a hand-over tells, as values that carry no words of any language.

A value is one of: {n, unit} a whole number, {n, per, unit} one that is shown as n / per,
{reading, unit} of a gauge in thousandths, {dose, unit} of a medicine in thousandths, {span}
in minutes, {length} in ms, {days} of pregnancy, {at} in wall ms, {word, text} the id of a
text and what to show where no language has it, {text} as a person wrote it, {all: values}
one after the other, {beside: values} that belong together. None stands for what nobody
recorded.
"""

# What a number that was observed is told in: how many of it make a whole unit, and which.
COUNTED = {
    "heart": (1, "bpm"),
    "breaths": (1, "bpm"),
    "pulse": (1, "bpm"),
    "refill": (1, "s"),
    "weight": (1, "g"),
    "head": (10, "cm"),
    "temperature": (10, "c"),
    "glucose": (10, "mmol"),
    "systolic": (1, "mmhg"),
    "diastolic": (1, "mmhg"),
    "void": (1, "ml"),
}


def number(count: int) -> dict:
    """A bare count."""
    return {"n": count, "unit": ""}


def quantity(count: int | None, unit: str) -> dict | None:
    """A whole number of a unit."""
    return None if count is None else {"n": count, "unit": unit}


def word(name: str, otherwise: object = "") -> dict:
    """A text by its id, and what stands for it where no language has one."""
    return {"word": name, "text": str(otherwise)}


def chosen(family: str, choice: str | None) -> dict | None:
    """One of a family of texts; not sure is an answer like the others."""
    if choice is None:
        return None
    return word("app.not_sure" if choice == "unsure" else f"{family}.{choice}", choice)


def text(written: str) -> dict | None:
    """What a person wrote or tapped as it is, such as a place."""
    return {"text": written} if written else None


def clock(at: int | None) -> dict | None:
    """A time of day."""
    return None if at is None else {"at": at}


def together(values: list) -> dict | None:
    """Values one after the other; nothing when there is none."""
    return {"all": values} if values else None


def beside(*values: dict | None) -> dict:
    """Values that belong together; what was not told is left out."""
    return {"beside": [value for value in values if value is not None]}


def counted(what: str, value: int) -> dict:
    """A number that was observed, in the unit in which it is told."""
    per, unit = COUNTED.get(what, (1, ""))
    return {"n": value, "unit": unit} if per == 1 else {"n": value, "per": per, "unit": unit}


def seen(lane: str, facts: dict) -> dict | None:
    """What was found of one sign of mother or baby; None when only its name was told."""
    what, answer, value = (facts.get(name) for name in ("what", "answer", "value"))
    if value is not None:
        return counted(what, value)
    return chosen(f"{lane}.{what}", answer)


def name_of(lane: str, what: str) -> dict:
    """The name of a sign of mother or baby."""
    return word(f"{lane}.name.{what}", what)


def rows_of(case: dict, kind: str) -> list[dict]:
    """The entries of a kind that stand, in order of time."""
    return [row for row in case["timeline"] if row["kind"] == kind and not row["void"]]
