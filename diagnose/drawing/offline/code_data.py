"""What a page needs to write the code of a case that ended on it, as values for JSON.

The format stands once, in `walking.case_codes` and `cases.codes`: a page gets its figures from here, so that
a code from a phone is the code that the program would have given the same case. The digest of the symptom and
the shape of the tree are worked out beforehand: neither depends on the walk.
"""

from __future__ import annotations

from typing import Any

from diagnose.cases.codes import ALPHABET, CHECKS, GROUP, MEANT, MOST, SPELLED
from diagnose.terms import Tree
from diagnose.walking import case_codes
from diagnose.walking.case_codes import Slot, finding_slots, shape_tag, symptom_tag, trial_slots


def code_format() -> dict[str, Any]:
    """What holds for the code of every tree; docs/codes.md tells what each is."""
    return {
        "alphabet": ALPHABET,
        "group": GROUP,
        "checks": CHECKS,
        "most": MOST,
        "meant": MEANT,
        "spelled": {sign: SPELLED[sign] for sign in ALPHABET},
        "version": [case_codes.VERSION, case_codes.VERSIONS],
        "ends": case_codes.ENDS,
        "roles": case_codes.ROLES,
        "months": case_codes.MONTHS,
        "origins": case_codes.ORIGINS,
        "symptoms": case_codes.SYMPTOMS,
        "shapes": case_codes.SHAPES,
        "cases": case_codes.CASES,
        "casesWeights": case_codes.CASES_WEIGHTS,
    }


def code_places(tree: Tree) -> dict[str, Any]:
    """What the codes of one tree are made of: its two short numbers and the places of all that can be found.

    A place is [id, answers, weights]; its first weight is that of "nothing found".
    """
    return {
        "symptom": symptom_tag(tree.id),
        "shape": shape_tag(tree),
        "found": [_place(slot) for slot in finding_slots(tree)],
        "tried": [_place(slot) for slot in trial_slots(tree)],
    }


def _place(slot: Slot) -> list[Any]:
    return [slot.id, slot.answers, slot.weights]
