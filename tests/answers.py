"""What is told before a birth in which all is well: question -> answer."""

# A number, a choice by its id, weeks and days, or what follows: (which, minutes away, who calls).
ANSWERS = {
    "bed": "2", "reason": "slow", "first_birth": "first", "weeks": (39, 2), "baby_lies": "head_first",
    "fetal_heart": 142, "cervix": "full", "waters": "gone", "fifths": "1", "head_station": "plus_two",
    "position": "anterior", "moulding": "some", "pelvis": "roomy", "big_baby": "no", "baby_bleeds": "no",
    "scalp_needles": "no", "blood_virus": "no", "hard_birth": "no", "contractions": "strong",
    "bladder": "empty", "pain": "covered", "consent": "yes", "operator": "trained", "baby_helper": "ready",
    "kit": "holds", "tray": "ready", "plan": ("transfer", 90, "assistant"), "stop_rules": "said",
}
