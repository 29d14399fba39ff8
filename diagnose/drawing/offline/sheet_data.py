"""The sentences of the hand-over sheet, for a page to make the same sheet without the program.

Each is the program's own phrase (`walking.sheet`, `walking.sheet_making`, `drawing.sheet_words`), under a
short name by which the script asks for it; what is within braces is filled in there.
"""

from __future__ import annotations

from typing import Any

from diagnose.knowledge.languages import Language
from diagnose.knowledge.naming import ELSE
from diagnose.walking.sheet import BLANK
from diagnose.walking.sheet_making import BECAME, MOST_CAUSES, STATES
from diagnose.walking.views import NO_CERTIFICATE, NOT_CHECKED

PHRASES = {
    "title": "HAND-OVER SHEET",
    "case": "Case",
    "date": "Date",
    "vehicle": "Vehicle",
    "noLabel": "no label given",
    "symptom": "Symptom",
    "walkWas": "The walk was",
    "notChecked": NOT_CHECKED,
    "changed": "The tree behind this sheet has changed since the walk; its words are today's.",
    "gone": "No longer in the tree, so left out here: {gone}.",
    "because": "Stopped because: {why}",
    "for": "For: {to}",
    "register": "Register: {register}",
    "until": "Until help comes: {until_help}",
    "facts": "About the vehicle:",
    "found": "What was found, in order (times are UTC):",
    "nothing": "Nothing was found out.",
    "notSure": "not sure",
    "starts": "Started in this case: {times} (what was taken back is counted).",
    "never": "never",
    "once": "once",
    "twice": "twice",
    "times": "{count} times",
    "tried": "What was tried:",
    "untouched": "What was not touched, and why:",
    "likely": "Likeliest causes by these findings (and where the figure may lie):",
    "likelyOne": "{cause}: {share} ({low} to {high})",
    "percent": "{number}%",
    "cautions": "Cautions that were shown:",
    "back": "Once you know what it was, tell whoever gave you this sheet its code and the number:",
    "code": "Code: {code}",
    "aloud": "Read aloud: {aloud}",
    "else": ELSE,
    "type": "They type:",
    "findings": "Findings with their readings, for another store of cases:",
    "number": "NUMBER",
    "square": "The square code holds the findings, for another store of cases.",
    "orders": "This sheet orders no work. Whoever may order it writes here:",
    "name": "Name",
    "signature": "Signature",
    "certificate": NO_CERTIFICATE,
}
"""Short name -> the phrase."""


def sheet_data(language: Language | None = None) -> dict[str, Any]:
    """What the page's sheets are made with, in a language; English where none is given."""
    spoken = language if language is not None else Language()
    return {
        "phrases": {name: spoken.phrase(text) for name, text in PHRASES.items()},
        "states": {state: spoken.phrase(text) for state, text in STATES.items()},
        "became": {how: spoken.phrase(text) for how, text in BECAME.items()},
        "blank": BLANK,
        "mostCauses": MOST_CAUSES,
    }
