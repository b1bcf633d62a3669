"""What publications say of the hours after a birth by vacuum, as tables of data.

``known`` says whether the words were read, only remembered, or are this program's own
proposal. Each row names the publication; pages that merely reproduce one are not named.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Reason:
    """One reason to watch a baby more closely: the protocol's row, its bound, its ground."""

    row: str
    bound: dict
    source: str
    known: str


UK = "UK neonatal guideline on subgaleal haemorrhage"
BOO = "Boo and others 2005, BJOG 112:1516, abstract"
SASKATOON = "Royal University Hospital Saskatoon, policy 422 (2014)"
SIGNS = "Newborn danger signs, as handbooks name them"
RANZCOG = "RANZCOG C-Obs 28 (2015)"
OWN = "none, this program's own"

YES = {"at_least": 1}
REASONS = [
    # Raised: one of these is enough.
    Reason("long", {"above": 20 * 60_000}, UK, "read"),
    Reason("many_pulls", {"above": 3}, UK, "read"),
    # The UK guideline says more than two (read); this is the stricter of the two.
    Reason("came_off", {"at_least": 2}, RANZCOG, "from memory"),
    Reason("failed", YES, BOO, "read"),
    Reason("apgar", {"below": 8}, BOO, "read"),
    Reason("edge", YES, BOO, "read"),
    Reason("hard_first", YES, UK, "read"),
    Reason("turned", YES, OWN, "proposal"),
    Reason("mid", YES, OWN, "proposal"),
    Reason("slow", YES, UK, "read"),
    Reason("early", {"below": 37 * 7}, OWN, "proposal"),
    Reason("big", YES, UK, "read"),
    Reason("heavy", {"above": 4_000}, UK, "read"),
    Reason("helped", YES, UK, "read"),
    Reason("no_vitamin_k", {"at_least": 120}, UK, "read"),
    Reason("worry", YES, OWN, "proposal"),
    # Red flags: bleeding under the scalp is suspected.
    Reason("boggy", YES, SIGNS, "from memory"),
    Reason("head_grew", {"at_least": 10}, SASKATOON, "read"),
    Reason("ear", YES, UK, "read"),
    Reason("growing", YES, UK, "read"),
    Reason("pale", YES, SIGNS, "from memory"),
    Reason("heart", {"above": 160, "below": 100}, SIGNS, "from memory"),
    Reason("fast_breath", {"at_least": 60}, SIGNS, "from memory"),
    Reason("grunting", YES, SIGNS, "from memory"),
    Reason("refill", {"above": 3}, SASKATOON, "read"),
    Reason("floppy", YES, SIGNS, "from memory"),
    Reason("feeding", YES, SIGNS, "from memory"),
    Reason("cry", YES, SIGNS, "from memory"),
    Reason("fits", YES, SIGNS, "from memory"),
    Reason("temperature", {"below": 360, "above": 375}, SIGNS, "from memory"),
    Reason("sugar", {"below": 26}, SIGNS, "from memory"),
    Reason("bleeding", YES, SIGNS, "from memory"),
    Reason("yellow", YES, SIGNS, "from memory"),
]

# Apgar 1953, A proposal for a new method of evaluation of the newborn infant, from memory:
# each sign with what earns 0, 1 and 2 points.
APGAR_1953 = {
    "heart": ("absent", "below 100", "100 or more"),
    "breathing": ("absent", "slow or irregular", "good, crying"),
    "tone": ("limp", "some bending", "active"),
    "reflex": ("none", "grimace", "cough, sneeze or cry"),
    "colour": ("blue or pale", "body pink, limbs blue", "pink all over"),
}

# RCOG Green-top Guideline 29, third- and fourth-degree perineal tears, from memory. The
# buttonhole of the rectum is named apart, since the sphincter is whole.
TEARS_RCOG = ("1", "2", "3a", "3b", "3c", "4", "buttonhole")

# Minutes since birth. Saskatoon, policy 422 (read): at birth, hourly for four hours, then
# every three hours to twelve, which leaves two hours for the last.
SASKATOON_MINUTES = (0, 60, 120, 180, 240, 420, 600, 720)

# RANZCOG C-Obs 28, from memory: suspected bleeding, every 15 min for 2 h, then hourly.
RANZCOG_FLAGGED = (15, 30, 45, 60, 75, 90, 105, 120, 180, 240)

# Growth of the head in mm and the blood of a half sphere in mL (geometry, worked by hand).
HALF_SPHERE = [(330, 340, 28.4), (340, 350, 30.2), (350, 360, 31.9), (340, 360, 62.1), (340, 370, 95.8)]

# Weight in g, blood at 80 mL/kg (from memory), a fifth of it, and 40 mL as a percentage.
BLOOD = [
    (2_000, 160, 32, 25.0),
    (2_500, 200, 40, 20.0),
    (3_000, 240, 48, 16.7),
    (3_500, 280, 56, 14.3),
    (4_000, 320, 64, 12.5),
]
