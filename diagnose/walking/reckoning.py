"""`walk --answers FILE --json`: the ranking and the next step for findings given all at once, as JSON.

Nothing is asked and nothing is kept. What comes next follows the rules of a walk: a stop before anything,
then the danger questions, then what the arithmetic says.
"""

from __future__ import annotations

from typing import Any

from diagnose.terms import Check, Finding, Referral, Situation, Step, Tree
from diagnose.walking.answers import Answers
from diagnose.walking.leading import answers_of
from diagnose.walking.past import causes_of, check_of, stops
from diagnose.walking.reasoner import RoomReasoner
from diagnose.walking.stepping import Stepping, starts_in
from diagnose.walking.stops import firmest_first


def reckon(tree: Tree, reasoner: RoomReasoner, answers: Answers) -> dict[str, Any]:
    """The document: symptom, ranking (falling, unrounded), next and findings. The keys are fixed."""
    situation = answers.situation(tree)
    step, because = next_for(tree, reasoner, answers)
    return {
        "symptom": tree.id,
        "ranking": [
            {"cause": each.cause, "says": each.says, "share": each.share, "low": each.low, "high": each.high}
            for each in reasoner.ranking(situation)
        ],
        "next": step_as_json(tree, step)
        | ({"because": because} if because else {})
        | why_as_json(tree, reasoner, answers, step),
        "findings": findings_as_json(tree, answers),
    }


def next_for(tree: Tree, reasoner: RoomReasoner, answers: Answers) -> tuple[Step, str]:
    """The next step for these findings, and why where it is not the arithmetic that says so."""
    situation = answers.situation(tree)
    stopping = _stops(tree, answers)
    if stopping:
        return Step("stop", stopping[0]), ""
    unasked = [id for id in tree.ask_first if id not in situation.findings]
    if unasked:
        return Step("check", unasked[0]), ""
    misfit = _misfit(tree, answers)
    if misfit:
        return Step("referral", tree.refer_to), misfit
    return _reckoned(tree, reasoner, situation), ""


def why_as_json(tree: Tree, reasoner: RoomReasoner, answers: Answers, step: Step) -> dict[str, Any]:
    """Why a check or remedy is next: minutes saved, causes told apart, and `next` with each answer added."""
    if step.kind not in ("check", "remedy"):
        return {}
    situation = answers.situation(tree)
    why = reasoner.why(situation, step, starts_in(tree, situation))
    following = {
        answer: next_for(tree, reasoner, _with(answers, step, answer))[0] for answer in answers_of(tree, step)
    }
    return {
        "why": {
            "saves_minutes": why.saves,
            "separates": list(why.separates),
            "leads_to": {answer: {"kind": each.kind, "id": each.of} for answer, each in following.items()},
        }
    }


def _with(answers: Answers, step: Step, answer: str) -> Answers:
    """The same file with one more line in it."""
    if step.kind == "check":
        others = tuple(finding for finding in answers.findings if finding.check != step.of)
        return Answers((*others, Finding(step.of, answer)), answers.tried)
    return Answers(answers.findings, {**(answers.tried or {}), step.of: answer})


def _reckoned(tree: Tree, reasoner: RoomReasoner, situation: Situation) -> Step:
    """By route or planned at once, never from a plan refined meanwhile.

    Nobody reads here while one is made, an answer is wanted in milliseconds, and equal findings have to come
    to an equal step whenever they are asked about.
    """
    return Stepping(tree, reasoner, reasoner.route).reckon(situation, starts_in(tree, situation))


def _stops(tree: Tree, answers: Answers) -> tuple[str, ...]:
    """The referrals of all stop answers; what is asked first leads, the firmest before others."""
    found = {finding.check: finding for finding in answers.findings}
    order = [*tree.ask_first, *(id for id in found if id not in tree.ask_first)]
    checks = [(check_of(tree, id), found[id]) for id in order if id in found]
    return firmest_first(
        check.refer or tree.refer_to
        for check, finding in checks
        if check is not None and stops(tree, check, finding.answer)
    )


def _misfit(tree: Tree, answers: Answers) -> str:
    """For which vehicles the tree is, if not for this one."""
    found = {finding.check: finding.answer for finding in answers.findings}
    for fact, fits in tree.applies_to.items():
        check = check_of(tree, fact)
        if fact in found and check is not None and found[fact] not in (*fits, "not-sure"):
            says = {answer.id: answer.says for answer in check.answers}
            return f"{check.ask} This tree is for: {', '.join(says.get(fit, fit) for fit in fits)}."
    return ""


def step_as_json(tree: Tree, step: Step) -> dict[str, Any]:
    """A step with what somebody needs to take it."""
    told: dict[str, Any] = {"kind": step.kind, "id": step.of}
    if step.kind == "check":
        return told | _check_as_json(tree.checks[step.of])
    if step.kind == "remedy":
        remedies = [cause.remedy for cause in causes_of(tree, step.of) if cause.remedy is not None]
        return told | {
            "do": [remedy.text for remedy in remedies],
            "minutes": sum(remedy.minutes for remedy in remedies),
            "wait": sum(remedy.wait for remedy in remedies),
            "price": sum(remedy.price for remedy in remedies),
        }
    referral = tree.referrals.get(step.of) if step.kind in ("referral", "stop") else None
    return told | _referral_as_json(referral) if referral is not None else told


def _check_as_json(check: Check) -> dict[str, Any]:
    told: dict[str, Any] = {
        "ask": check.ask,
        "how": check.how,
        "answers": {answer.id: answer.says for answer in check.answers},
        "minutes": check.minutes,
        "wait": check.wait,
        "price": check.price,
    }
    if check.reading is not None:
        told["unit"] = check.reading.unit
        told["range"] = [check.reading.low, check.reading.high]
    return told


def _referral_as_json(referral: Referral) -> dict[str, Any]:
    return {
        "to": referral.to,
        "say": referral.say,
        "until_help": referral.until_help,
        "minutes": referral.minutes,
        "wait": referral.wait,
        "price": referral.price,
    }


def findings_as_json(tree: Tree, answers: Answers) -> list[dict[str, Any]]:
    """The findings in the tree's order, then what became of remedies."""
    tried = [{"remedy": remedy, "answer": outcome} for remedy, outcome in (answers.tried or {}).items()]
    return [*(_finding_as_json(tree, finding) for finding in answers.findings), *tried]


def _finding_as_json(tree: Tree, finding: Finding) -> dict[str, Any]:
    if finding.value is None:
        return {"check": finding.check, "answer": finding.answer}
    check = check_of(tree, finding.check)
    return {
        "check": finding.check,
        "reading": finding.value,
        "uncertainty": finding.uncertainty,
        "unit": check.reading.unit if check is not None and check.reading is not None else "",
        "band": finding.answer,
    }
