"""Hold the English sentences to plain language: it decides how well they can be translated.

What blocks would be translated into something dangerous; the rest is for the author to weigh.
"""

import re

from checklist.translation.checks import BLOCK, TAG, WARN, Finding
from checklist.translation.quantities import numbers
from checklist.translation.source import Entry

# At most 20 words are taken in under stress; 12 is what to aim for.
MOST_WORDS, MANY_WORDS = 20, 12
# Words that are read one way here and the other way there, or that turn round in translation.
LISTED = re.compile(r"\b(unless|until|ensure|appropriate|as needed|hold|may|should)\b", re.IGNORECASE)
_SENTENCE = re.compile(r"(?<=[.!?:;])\s+")
_ABBREVIATION = re.compile(r"\b[A-Z]{2,}\b")
# 1000 and more, with or without a mark between: a mark that means thousands here means tenths there.
_LARGE = re.compile(r"\d{4,}|\d[.,\u00a0\u202f ]\d{3}(?!\d)")
_TURNED = re.compile(r"[<>≤≥±]|(?<!\w)-\d")
# What the people who read it say themselves.
KNOWN = frozenset(
    ("PIN", "SBAR", "UTC", "CSV", "FHIR", "OK", "ID", "APGAR", "NICE", "WHO", "RCOG", "SOGC", "ACOG", "QR", "UI", "SQL")
)
# A listed word in a safety text that says what it must say, and why no other word does.
TOLD_WHY = {
    "after.placenta_part": "possible is what is known: part of the placenta is perhaps inside",
    "after.tier.3": "possible is what is known: the bleeding cannot be seen",
    "before.override_hold": "the key itself has to be held down",
    "app.caution": "what the law allows is meant",
    "station.what_it_is": "what the law allows is meant",
    "before.operator.unsure.why": "what her training allows is meant",
    "home.start_note": "possible is what is known: nobody knows yet whether the cup is needed",
    "before.minutes_away": "minutes up to a moment; no action hangs on the word",
    "baby.ask.refill": "seconds up to a moment; no action hangs on the word",
    "before.weeks.below_34.why": "the harm is possible, not certain",
    "before.fetal_heart.not_heard.why": "which way is safer is for the senior to say",
    "before.moulding.severe.why": "the misfit is possible, not certain",
    "before.pelvis.tight.why": "the misfit is possible, not certain",
    "before.kit.ask": "a pump holds its suction: the word of the trade",
    "kit.pump_holds.most": "what is allowed to be lost is meant",
    "kit.pump_holds.lost": "a pump holds its suction: the word of the trade",
    "limits.why": "what a post is allowed to do is meant",
    "problem.disk_full": "what ends the state is meant; nobody waits for it by the bed",
    "record.clock_doubt": "a doubt is what is said",
    "stop.mind.ready": "possible is what is known: the birth is perhaps on the way",
}


def lint(entry: Entry) -> list[Finding]:
    """Say what is wrong with an English sentence: "block" must be changed, "warn" weighed."""
    found = []
    for text in filter(None, (entry.text, entry.plural)):
        found += [*_sentences(text), *_words(entry, text), *_marks(text)]
    return list(dict.fromkeys(found))


def sentences(text: str) -> list[str]:
    """Cut a text into its sentences."""
    return [part for part in _SENTENCE.split(text) if part.strip()]


def _sentences(text: str) -> list[Finding]:
    found = []
    for sentence in sentences(text):
        count = len(sentence.split())
        if count > MOST_WORDS:
            found.append(Finding(BLOCK, "long-sentence", f"{count} words"))
        elif count > MANY_WORDS:
            found.append(Finding(WARN, "long-sentence", f"{count} words"))
        negations = re.findall(r"\b(?:not|never|no|without|cannot|nothing|nobody)\b", sentence.casefold())
        if len(negations) > 1:
            found.append(Finding(WARN, "double-negative", ", ".join(negations)))
    return found


def _words(entry: Entry, text: str) -> list[Finding]:
    found = []
    for word in dict.fromkeys(word.casefold() for word in LISTED.findall(text)):
        told = not entry.safety or entry.id in TOLD_WHY
        found.append(Finding(WARN if told else BLOCK, "listed-word", word))
    if re.search(r"\b(?:is|are) to be\b", text):
        found.append(Finding(WARN, "passive"))
    strange = [word for word in _ABBREVIATION.findall(text) if word not in KNOWN]
    if strange:
        found.append(Finding(WARN, "abbreviation", ", ".join(strange)))
    return found


def _marks(text: str) -> list[Finding]:
    found = []
    if TAG.search(text):
        found.append(Finding(BLOCK, "markup"))
    told = numbers(text)
    if _LARGE.search(text):
        found.append(Finding(WARN, "large-number"))
    if sum(told.values()) > 1:
        found.append(Finding(WARN, "two-numbers", ", ".join(told.elements())))
    if _TURNED.search(text):
        found.append(Finding(WARN, "sign-turns"))
    return found
