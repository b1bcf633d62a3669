"""Say in words why a birth is to be talked over, and what its counts mean."""

from checklist.language import Pack

# The number that belongs to a reason, by the column that holds it.
_NUMBERS = {
    "many_pulls": "pulls",
    "detached_twice": "detachments",
    "long": "cup_min",
    "low_apgar": "apgar5",
}


def reasons(pack: Pack, row: dict) -> list[str]:
    """Say each reason of a row of the review, the gravest first."""
    return [_reason(pack, code, row) for code in row["reasons"].split()]


def _reason(pack: Pack, code: str, row: dict) -> str:
    if code == "untimely":
        n = row["steps_late"] + row["steps_open"]
        return pack.text("review.reason.untimely", n=n, of=row["steps"])
    if code == "severe_tear":
        return pack.text("review.reason.severe_tear", n=pack.text(f"review.tear.{row['tear']}"))
    number = row.get(_NUMBERS.get(code, ""))
    if code == "long" and number is None:
        return pack.text("review.reason.long_unsure")
    return pack.text(f"review.reason.{code}", n=number)


def said(pack: Pack, birth: dict, fact: str) -> str:
    """Say a three-valued fact; what nobody recorded is never said as no."""
    if fact == "overridden" and birth["stop_heard"] == 0:
        return pack.text("review.no_stop")
    return pack.text({1: "app.yes", 0: "app.no", None: "app.not_recorded"}[birth[fact]])
