"""Read what was observed of the baby after birth, in the order in which it happened.

Head sizes come in whole millimetres, temperatures in tenths of a degree, glucose in
tenths of mmol/L, everything else in whole units. ``ms`` is when a thing was so, ``told_ms``
when it was told.
"""


def observed(case: dict) -> list[dict]:
    """Give what was observed of the baby: [{kind, ms, told_ms, at, facts}]."""
    seen = [item for item in case["care"] if item["kind"] == "baby_observed"]
    return sorted(seen, key=lambda item: item["ms"])


def answers_of(case: dict, what: str, bad: tuple, good: tuple) -> list[dict]:
    """Give the answers about one sign as 1 or 0: [{value, ms, told_ms}]; "not sure" is left out."""
    return [
        {"value": 1 if item["facts"].get("answer") in bad else 0, "ms": item["ms"], "told_ms": item["told_ms"]}
        for item in observed(case)
        if item["facts"].get("what") == what and item["facts"].get("answer") in (*bad, *good)
    ]


def numbers_of(case: dict, what: str) -> list[dict]:
    """Give the numbers told of one thing: [{value, ms, told_ms}]."""
    return [
        {"value": item["facts"]["value"], "ms": item["ms"], "told_ms": item["told_ms"]}
        for item in observed(case)
        if item["facts"].get("what") == what and item["facts"].get("value") is not None
    ]


def head_growths(case: dict) -> list[dict]:
    """Give how far each head size lies above the smallest one before it, in mm: [{value, ms, told_ms}]."""
    sizes = numbers_of(case, "head")
    found = []
    for index in range(1, len(sizes)):
        least = min(size["value"] for size in sizes[:index])
        found.append({**sizes[index], "value": max(sizes[index]["value"] - least, 0)})
    return found


def hidden_blood_ml(case: dict) -> int | None:
    """Estimate blood under the scalp in mL from the head's growth; None without two sizes.

    The larger of two rules: 40 mL for each cm (from memory), and half a sphere,
    (HC^3 - HC0^3) / (12 pi^2) in cm (geometry). A late and unreliable sign: moulding falls
    while blood gathers.
    """
    sizes = [size["value"] for size in numbers_of(case, "head")]
    if len(sizes) < 2:
        return None
    first, last = min(sizes[:-1]), sizes[-1]
    if last <= first:
        return 0
    # 12 pi^2 is 118.435253; cubes of millimetres are a thousand times those of centimetres.
    by_sphere = (last * last * last - first * first * first) * 1000 // 118_435_253
    return max((last - first) * 4, by_sphere)


def blood_volume_ml(case: dict) -> int | None:
    """Give the baby's blood volume in mL at 80 mL/kg (from memory), or None without a weight."""
    weights = [weight["value"] for weight in numbers_of(case, "weight")]
    return weights[-1] * 80 // 1000 if weights and weights[-1] > 0 else None


def hidden_share(case: dict) -> int | None:
    """Give the blood that may hide as a share of the baby's blood in percent, rounded up; None if not known."""
    blood, volume = hidden_blood_ml(case), blood_volume_ml(case)
    return None if blood is None or not volume else -(-blood * 100 // volume)
