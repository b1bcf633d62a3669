"""What publications say about when to stop, as one table of data.

``at`` is the count or minute at which the source's own line is crossed or met:
"more than 6 pulls" is met when the seventh would begin, so the table stops when 6
have ended; "3 without descent" is 3; "more than 3 detachments" would be 4. ``known``
says whether the words were read or only remembered. ``asks`` is what the source
wants there: ``stop``, or ``think`` (look again, or a raised risk). A source marked
``weak`` reproduces others or is teaching material: it may agree, never carry a limit
alone.
"""

from typing import NamedTuple


class Published(NamedTuple):
    """One figure of one publication about one limit."""

    limit: str
    at: int
    asks: str
    source: str
    known: str
    weak: bool = False


WHO_2000 = "WHO, Managing Complications in Pregnancy and Childbirth, 1st ed. (2000)"
RCOG = "RCOG Green-top Guideline 26 (2020)"
SOGC = "SOGC Clinical Practice Guideline 381 (2019)"
RANZCOG = "RANZCOG C-Obs 16 (2020)"
CRICO = "CRICO (Harvard) OB Guideline 18"
MNEMONIC = "A-to-J mnemonic for vacuum, Am Fam Physician 2008;78:953, reproduced copy"
FAMILY = "Family-practice reference, vacuum delivery"
GENERAL = "General-practice reference, vacuum"
ALI = "Ali and Norwitz 2009, vacuum-assisted vaginal delivery, fragment"
MEDICOLEGAL = "Reducing medicolegal risk with vacuum, review"
ISRAEL = "Failed vacuum, Israel 1990-98, abstract"
EKEUS = "Ekeus 2017, 596 vacuum births, abstract"
PROTRACTED = "Swedish case-control study 1999-2013, protracted extraction, quoted abstract"
TENG = "Teng and Sayre 1997, abstract"
BELGIUM = "Simonson 2007, abstract"
PORT_MORESBY = "Port Moresby, trials of vacuum 2002, abstract"
UK_NEWBORN = "UK neonatal guideline on subgaleal haemorrhage"

PUBLISHED = [
    # Pulls that bring the head no further; the sources count contractions.
    Published("poor_pulls", 1, "stop", MEDICOLEGAL, "read in part"),
    Published("poor_pulls", 1, "think", CRICO, "read in part"),
    Published("poor_pulls", 2, "think", RCOG, "from memory"),
    Published("poor_pulls", 3, "stop", WHO_2000, "from memory"),
    Published("poor_pulls", 3, "stop", SOGC, "from memory"),
    Published("poor_pulls", 3, "stop", MNEMONIC, "read", weak=True),
    Published("poor_pulls", 3, "stop", FAMILY, "read in part", weak=True),
    Published("poor_pulls", 3, "stop", ALI, "read in part"),
    Published("poor_pulls", 4, "stop", GENERAL, "read", weak=True),
    # Pulls to bring the head to the perineum.
    Published("descent_pulls", 3, "stop", RCOG, "from memory"),
    Published("descent_pulls", 3, "stop", RANZCOG, "from memory"),
    Published("descent_pulls", 4, "think", PORT_MORESBY, "read"),
    Published("descent_pulls", 4, "think", CRICO, "read in part"),
    # Gentle pulls over the perineum.
    Published("perineal_pulls", 3, "stop", RCOG, "from memory"),
    # All pulls.
    Published("pulls", 4, "think", CRICO, "read in part"),
    Published("pulls", 4, "think", UK_NEWBORN, "read"),
    Published("pulls", 4, "think", BELGIUM, "read"),
    Published("pulls", 6, "stop", EKEUS, "read"),
    Published("pulls", 6, "stop", PROTRACTED, "read"),
    # The cup comes off.
    Published("detachments", 1, "think", RCOG, "from memory"),
    Published("detachments", 1, "think", PORT_MORESBY, "read"),
    Published("detachments", 1, "think", BELGIUM, "read"),
    Published("detachments", 2, "stop", RCOG, "from memory"),
    Published("detachments", 2, "stop", WHO_2000, "from memory"),
    Published("detachments", 2, "stop", RANZCOG, "from memory"),
    Published("detachments", 2, "stop", EKEUS, "read"),
    Published("detachments", 2, "think", ALI, "read in part"),
    Published("detachments", 3, "stop", PROTRACTED, "read"),
    Published("detachments", 3, "stop", CRICO, "read in part"),
    Published("detachments", 3, "stop", ISRAEL, "read"),
    Published("detachments", 3, "stop", SOGC, "from memory"),
    Published("detachments", 3, "stop", MNEMONIC, "read", weak=True),
    Published("detachments", 3, "stop", FAMILY, "read in part", weak=True),
    # Minutes since the cup went on.
    Published("cup_minutes", 10, "think", TENG, "read"),
    Published("cup_minutes", 15, "stop", CRICO, "read in part"),
    Published("cup_minutes", 15, "stop", EKEUS, "read"),
    Published("cup_minutes", 15, "stop", PROTRACTED, "read"),
    Published("cup_minutes", 20, "stop", SOGC, "from memory"),
    Published("cup_minutes", 20, "stop", RANZCOG, "from memory"),
    Published("cup_minutes", 20, "think", UK_NEWBORN, "read"),
    Published("cup_minutes", 20, "stop", MNEMONIC, "read", weak=True),
    Published("cup_minutes", 20, "think", ALI, "read in part"),
    Published("cup_minutes", 30, "stop", WHO_2000, "from memory"),
    Published("cup_minutes", 30, "stop", FAMILY, "read in part", weak=True),
]

# Where the shipped stop comes later than a publication's: there a caution must
# have come by then. Named one by one, so that none slips in unseen.
LATER_THAN = {
    ("poor_pulls", MEDICOLEGAL),
    ("cup_minutes", CRICO),
    ("cup_minutes", EKEUS),
    ("cup_minutes", PROTRACTED),
}
