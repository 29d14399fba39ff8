"""Why a step, as a screen is told it: which answers lead on from it, and where each of them leads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Ranked, Step, Tree
from diagnose.walking.cautioning import not_yet_shown
from diagnose.walking.past import Past, check_of
from diagnose.walking.scene import in_words
from diagnose.walking.standing import Standing


@dataclass(frozen=True, slots=True)
class Leads:
    """Answers, in words, that lead to one and the same step."""

    answers: tuple[str, ...]
    step: Step
    says: str
    """The question, the cause that is to be put right, or who takes over.

    What to do is not told ahead of its cautions: nothing stands here for a check whose cautions nobody has
    seen yet, or that starts the appliance.
    """


@dataclass(frozen=True, slots=True)
class Reason:
    """Why this step, as figures and words: a screen makes two sentences of it."""

    saves: float
    """Expected minutes that it saves."""
    separates: tuple[str, ...]
    """The causes, in words, that the answers tell apart."""
    leads_to: Mapping[str, Step]
    """Answer -> the step that this walk would take after it; of a remedy those that are no cure."""
    sure: Ranked | None
    """The leading hypothesis so far."""
    leads: tuple[Leads, ...] = ()
    """Where the answers lead, in words."""


def answers_of(tree: Tree, step: Step) -> tuple[str, ...]:
    """The answers after which something else comes; of a remedy those that are no cure."""
    if step.kind == "check":
        check = check_of(tree, step.of)
        return (*(check.answer_ids() if check is not None else ()), NOT_SURE)
    return (NOT_CURED, COULD_NOT) if step.kind == "remedy" else ()


def leads_in_words(past: Past, step: Step, leads_to: Mapping[str, Step]) -> tuple[Leads, ...]:
    """Where the answers to a step lead, those of one next step together, in the order of the answers."""
    tree = past.tree
    check = check_of(tree, step.of) if step.kind == "check" else None
    says = {answer.id: answer.says.strip().rstrip(".") for answer in check.answers} if check else {}
    says |= {NOT_SURE: "Not sure", NOT_CURED: "No better", COULD_NOT: "Could not do that"}
    together: dict[Step, list[str]] = {}
    for answer, following in leads_to.items():
        together.setdefault(following, []).append(says.get(answer, answer))
    return tuple(Leads(tuple(answers), each, _says(past, each)) for each, answers in together.items())


def _says(past: Past, step: Step) -> str:
    tree = past.tree
    if step.kind == "check":
        check = check_of(tree, step.of)
        minded = not not_yet_shown(past, Standing("reckoned"), step)
        return check.ask if check is not None and minded and not check.starts else ""
    if step.kind == "remedy":
        return in_words(past, step.of)
    referral = tree.referrals.get(step.of)
    return referral.to if referral is not None else step.of
