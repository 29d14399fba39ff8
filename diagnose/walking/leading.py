"""Why a step, as a screen is told it: which answers lead on from it, and where each of them leads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Ranked, Step, Tree
from diagnose.walking.past import causes_of, check_of


@dataclass(frozen=True, slots=True)
class Leads:
    """Answers, in words, that lead to one and the same step."""

    answers: tuple[str, ...]
    step: Step
    says: str
    """What is asked then, what is to be done, or who takes over."""


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


def leads_in_words(tree: Tree, step: Step, leads_to: Mapping[str, Step]) -> tuple[Leads, ...]:
    """Where the answers to a step lead, those of one next step together, in the order of the answers."""
    check = check_of(tree, step.of) if step.kind == "check" else None
    says = {answer.id: answer.says.strip().rstrip(".") for answer in check.answers} if check else {}
    says |= {NOT_SURE: "Not sure", NOT_CURED: "No better", COULD_NOT: "Could not do that"}
    together: dict[Step, list[str]] = {}
    for answer, following in leads_to.items():
        together.setdefault(following, []).append(says.get(answer, answer))
    return tuple(Leads(tuple(answers), each, _says(tree, each)) for each, answers in together.items())


def _says(tree: Tree, step: Step) -> str:
    if step.kind == "check":
        check = check_of(tree, step.of)
        return check.ask if check is not None else step.of
    if step.kind == "remedy":
        remedies = [cause.remedy for cause in causes_of(tree, step.of)]
        return " ".join(f"{each.text.strip().rstrip('.')}." for each in remedies if each is not None)
    referral = tree.referrals.get(step.of)
    return referral.to if referral is not None else step.of
