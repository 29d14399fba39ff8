"""What a page needs to write the code of a round that was gone through on it, as values for JSON.

The format stands once, in `rounds.phone_code` and `rounds.code_parts`: a page gets its figures from here, so
that a phone's code is the one that the program would have given the same round.
"""

from __future__ import annotations

from typing import Any

from diagnose.knowledge.common import Common
from diagnose.rounds import code_parts, phone_code
from diagnose.rounds.brought import facts_of
from diagnose.terms import NOT_SURE
from diagnose.terms.rounds import ROUNDS, Round
from diagnose.walking.case_codes import ROUND, VERSIONS


def round_code_format(vehicle: str) -> dict[str, Any]:
    """What holds for the code of every round of a page that was made for the vehicle so called."""
    return {
        "begins": [
            [ROUND, VERSIONS],
            [code_parts.FORMAT, code_parts.FORMATS],
            [code_parts.KINDS.index("phone"), len(code_parts.KINDS)],
        ],
        "rounds": len(ROUNDS),
        "tags": code_parts.TAGS,
        "vehicle": code_parts.vehicle_tag(vehicle),
        "origins": phone_code.ORIGINS,
        "minutes": phone_code.MINUTES,
        "later": phone_code.LATER,
        "days": phone_code.DAYS,
        "sizesWeights": phone_code.SIZES_WEIGHTS,
        "stops": phone_code.STOPS,
        "stoppedWeights": phone_code.STOPPED_WEIGHTS,
        "ends": phone_code.ENDS,
        "endsWeights": phone_code.ENDS_WEIGHTS,
    }


def round_code_places(round: Round, common: Common) -> dict[str, Any]:
    """What the codes of one round are made of: its short numbers, and its facts as [id, answers, weights]."""
    facts = facts_of(round, common.facts)
    return {
        "round": ROUNDS.index(round.id),
        "shape": code_parts.shape_tag(round, common.facts),
        "texts": phone_code.texts_tag(round),
        "facts": [
            [id, (*check.answer_ids(), NOT_SURE), phone_code.fact_weights(check)]
            for id, check in facts.items()
        ],
    }
