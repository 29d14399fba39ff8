"""One exercise as a JSON document: what was chosen, what came of it, and how that compares with the best."""

from __future__ import annotations

from typing import Any

from diagnose.practising.practice import Practice, Turn
from diagnose.practising.result_code import result_code
from diagnose.practising.scoring import Score, because
from diagnose.reasoning.figures import Parts
from diagnose.terms import Step


def as_document(score: Score, learner: str = "") -> dict[str, Any]:
    """Everything that the debrief tells; minutes are not rounded, shares lie between 0 and 1."""
    practice = score.practice
    model = practice.exercise.model
    return {
        "exercise": practice.exercise.code(),
        "symptom": model.tree.id,
        "role": model.role,
        "seed": practice.exercise.seed,
        "learner": learner,
        "cause": practice.vehicle.fault_id,
        "share": float(model.prior[practice.exercise.fault]),
        "facts": practice.vehicle.facts(),
        "ended": score.ended,
        "found": score.found,
        "named": practice.named,
        "marks": list(score.marks),
        "minutes": _parts(score.spent),
        "best": {"minutes": _parts(score.best.spent()), "turns": _turns(score.best)},
        "expected": _parts(score.expected),
        "expected_with_this_cause": score.of_such,
        "turns": _turns(practice),
        "costliest": _costliest(score),
        "misleading": [turn.choice.id for turn in score.misleading],
        "result": result_code(practice),
    }


def _parts(parts: Parts) -> dict[str, float]:
    return {
        "counted": parts.cost,
        "hands_on": parts.hands_on,
        "wait": parts.wait,
        "price": parts.price,
    }


def _turns(practice: Practice) -> list[dict[str, Any]]:
    return [_turn(turn) for turn in practice.turns]


def _turn(turn: Turn) -> dict[str, Any]:
    told: dict[str, Any] = {"kind": turn.choice.kind, "id": turn.choice.id, "became": turn.became}
    if turn.smelt is not None:
        told["smelt_again"] = turn.smelt.answer
    if turn.finding is not None:
        told["answer"] = turn.finding.answer
        if turn.finding.value is not None:
            told |= {"reading": turn.finding.value, "uncertainty": turn.finding.uncertainty}
    told["minutes"] = _parts(turn.spent)
    worth = turn.worth
    told["regret"] = None if worth is None else worth.regret
    told["better"] = None if worth is None else _step(worth.better)
    return told | {"marks": list(turn.marks)}


def _costliest(score: Score) -> dict[str, Any] | None:
    turn = score.costliest
    if turn is None or turn.worth is None:
        return None
    told = because(score.practice, turn)
    return {
        "turn": score.practice.turns.index(turn) + 1,
        "chosen": {"kind": turn.choice.kind, "id": turn.choice.id},
        "better": _step(told.better),
        "regret": turn.worth.regret,
        "better_tells_apart": list(told.better_apart),
        "better_share": told.better_share,
        "chosen_tells_apart": list(told.chosen_apart),
        "chosen_share": told.chosen_share,
    }


def _step(step: Step) -> dict[str, str]:
    return {"kind": step.kind, "id": step.of}
