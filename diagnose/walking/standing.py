"""Where a walk stands, as far as that follows from its journal alone.

The order of the questions below is the order of safety: a stop before anything, the danger questions before
any work, gas smelt for after hands were on it, and nothing cured before the cured question.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.walking.past import BY_TIME, SMELL_OF_GAS, Past
from diagnose.walking.stops import stop_referrals

Asking = Literal[
    "stopped",
    "cleared",
    "left-off",
    "cured",
    "unsure",
    "danger-question",
    "fact",
    "misfit",
    "cured-when",
    "reckoned",
    "again",
]


@dataclass(frozen=True, slots=True)
class Standing:
    """What comes next; `of` is the check, fact, cut set or referral that it is about.

    `again` asks a check once more: the last remedy may have changed its answer, or it goes ill with another.
    """

    asking: Asking
    of: str = ""


def standing(past: Past, stopped_by: str | None = None) -> Standing:
    """Where the walk stands; `reckoned` says that the arithmetic has to say what comes next.

    `stopped_by` is the referral that stopped this vehicle's last walk, if nobody has cleared it since.
    """
    stopped = stop_referrals(past)
    if stopped:
        return Standing("stopped", stopped[0])
    # A clearing from before the case was left off says nothing about a stop since then.
    cleared = any(line.kind == "cleared" and line.number > past.last_resumed for line in past.live)
    if stopped_by is not None and not cleared:
        return Standing("cleared", stopped_by)
    if _left_off(past):
        return Standing("left-off")
    if past.cured is not None:
        return Standing("cured", past.cured)
    return _danger_questions(past) or _facts(past) or _after_a_remedy(past) or Standing("reckoned")


def ask_smell(past: Past) -> Standing:
    """The question whether gas is smelt, asked anew."""
    return _danger(past, SMELL_OF_GAS)


def _left_off(past: Past) -> bool:
    put_aside = max((line.number for line in past.live if line.kind == "left-off"), default=0)
    return put_aside > past.last_resumed


def _danger_questions(past: Past) -> Standing | None:
    answered = past.asked_since(past.danger_answers_from)
    due = next((id for id in past.tree.ask_first if id not in answered), None)
    return None if due is None else _danger(past, due)


def _danger(past: Past, check: str) -> Standing:
    """The question, or the offer of help if *not sure* was the last thing said to it."""
    about = [
        line
        for line in past.live
        if line.number > past.danger_answers_from
        and (line.kind == "tried" or (line.kind in ("finding", "unsure") and line.subject == check))
    ]
    unsure = bool(about) and about[-1].kind == "unsure"
    return Standing("unsure" if unsure else "danger-question", check)


def _facts(past: Past) -> Standing | None:
    known = past.findings
    for fact, fits in past.tree.applies_to.items():
        if fact not in known:
            return Standing("fact", fact)
        answer = known[fact].answer
        if answer not in fits and answer != "not-sure":
            return Standing("misfit", fact)
    return None


def _after_a_remedy(past: Past) -> Standing | None:
    waiting = past.to_be_cured
    # Before anything can count as cured, hands that were on the gas in an answer taken back matter as well.
    hands_on_gas = past.gas_remedies(live=True) or (waiting is not None and past.gas_remedies(live=False))
    if hands_on_gas and SMELL_OF_GAS in past.tree.checks:
        return ask_smell(past)
    return None if waiting is None else Standing("cured-when", waiting)


def asked_again_because(past: Past, check: str) -> str:
    """Why a danger question that was answered in this case is asked anew, or nothing."""
    if check not in past.asked_since(0):
        return ""
    if check in past.asked_since(past.danger_answers_from):
        return "Hands were on the gas, so this is asked again."
    resumed = [line for line in past.live if line.kind == "resumed"]
    if resumed and resumed[-1].subject == BY_TIME:
        return "Half an hour has passed, so the danger questions are asked again."
    return "The walk is taken up again, so the danger questions are asked again."
