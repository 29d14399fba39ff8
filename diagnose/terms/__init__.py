"""The words that the rooms hand to each other: frozen values, and one base error.

Terms are those of the trade and of IEC 61025 (fault trees), IEC 60050-192 (dependability) and ANSI Z535
(signal words). Nothing here computes, reads a file or knows a screen.
"""

from __future__ import annotations

from diagnose.terms.errors import Advice, DiagnoseError, Flaw, FlawedKnowledge, Mark, WrongUsage
from diagnose.terms.trees import (
    Answer,
    Band,
    Caution,
    Check,
    Country,
    CuredWhen,
    Event,
    Hazard,
    Place,
    Reading,
    Referral,
    Remedy,
    System,
    Tree,
)
from diagnose.terms.walks import EndedCases, Finding, Ranked, Settings, Situation, Step, Tally
from diagnose.terms.words import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_LISTED,
    NOT_SURE,
    TOP,
    Gate,
    Hands,
    Role,
    State,
    StepKind,
)

__all__ = [
    "COULD_NOT",
    "CURED",
    "NOT_CURED",
    "NOT_LISTED",
    "NOT_SURE",
    "TOP",
    "Advice",
    "Answer",
    "Band",
    "Caution",
    "Check",
    "Country",
    "CuredWhen",
    "DiagnoseError",
    "EndedCases",
    "Event",
    "Finding",
    "Flaw",
    "FlawedKnowledge",
    "Gate",
    "Hands",
    "Hazard",
    "Mark",
    "Place",
    "Ranked",
    "Reading",
    "Referral",
    "Remedy",
    "Role",
    "Settings",
    "Situation",
    "State",
    "Step",
    "StepKind",
    "System",
    "Tally",
    "Tree",
    "WrongUsage",
]
