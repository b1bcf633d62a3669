"""Tell how much blood a mother lost after the birth, and whether that asks for action.

Pulse in beats/min, pressures in mmHg, blood in mL; the bounds are numbers of the protocol.
"""

SIGNS = ("pulse", "systolic", "diastolic")


def lost_ml(case: dict) -> int | None:
    """Add up the blood that was told, in mL; None when nobody told any."""
    told = [one["facts"]["ml"] for one in case["care"] if _tells_blood(one)]
    return sum(told) if told else None


def bleeding(case: dict, protocol: dict) -> str:
    """Judge the blood lost: "act", "signs", "look" or "none".

    From the higher bound on "act"; from the lower one on "signs" when pulse or pressure is
    abnormal, and "look" while one of them is not known: not known is never in order.
    """
    numbers = protocol["numbers"]
    lost = lost_ml(case) or 0
    if lost >= numbers["blood_act_ml"]["value"]:
        return "act"
    if lost < numbers["blood_signs_ml"]["value"]:
        return "none"
    last = {what: _last(case, what) for what in SIGNS}
    if (
        (last["pulse"] is not None and last["pulse"] > numbers["pulse_high_bpm"]["value"])
        or _is_below(last["systolic"], numbers["systolic_low_mmhg"])
        or _is_below(last["diastolic"], numbers["diastolic_low_mmhg"])
    ):
        return "signs"
    return "look" if None in last.values() else "none"


def _tells_blood(one: dict) -> bool:
    return one["kind"] == "blood_loss_measured" and isinstance(one["facts"].get("ml"), int)


def _last(case: dict, what: str) -> int | None:
    """Give the number told last, by its time; "not measured" leaves the one before standing."""
    told = [
        (one["ms"], one["facts"]["value"])
        for one in case["care"]
        if one["kind"] == "mother_observed"
        and one["facts"].get("what") == what
        and one["facts"].get("value") is not None
    ]
    # Of two at one moment, as after a clock was set back, the one that was told later.
    return max(reversed(told), key=lambda pair: pair[0])[1] if told else None


def _is_below(value: int | None, row: dict) -> bool:
    return value is not None and value < row["value"]
