"""Made-up trees in which planning at once takes a dearer step than the optimum after the first answer.

Each seed gives one tree, the same on every machine: six causes side by side, some of them somebody else's or
in a place of their own, and six checks, so that what is left after one of them is too much to be planned
exactly at once. Which seeds have a dearer step is found out by the whole tables.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from random import Random

import numpy as np

from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.model import Model, build_model
from diagnose.reasoning.planning import MOST_AT_ONCE, MOST_STATES, next_step
from diagnose.reasoning.refining import situations_after
from diagnose.reasoning.states import state_of
from diagnose.terms import Finding, Settings, Situation, Step, Tally, Tree
from tests.reasoning.made_up_trees import read

SEEDS = 12


@lru_cache(maxsize=64)
def side_by_side(seed: int, checks: int = 6, causes: int = 6) -> Tree:
    """The tree of a seed."""
    rng = Random(f"{seed} {checks} {causes}")
    ids = [f"cause-{n}" for n in range(causes)]
    remedies = {id: _remedy(rng) for id in ids}
    return read(
        {
            "symptom": "It does not work",
            "system": "heating",
            "refer_to": "workshop",
            "ask_first": ["smell-of-gas", "co-alarm"],
            "tries": 3,
            "cured_when": {"ask": "Does it work now?", "minutes": 2},
            "faults": {
                "any_of": {
                    id: {
                        "says": id,
                        "hazard": "gas" if id == ids[-1] else "none",
                        "in_100": rng.choice([5, 9, 14, 20, 30]),
                        "remedy": {"refer": "gas-engineer"} if id == ids[-1] else remedies[id],
                    }
                    for id in ids
                }
            },
            "checks": {f"look-{n}": _check(rng, ids) for n in range(checks)},
            "places": {"front": {"says": "In front", "access": 7}, "back": {"says": "Behind", "access": 3}},
        },
        f"side-by-side-{seed}",
    )


def _remedy(rng: Random) -> dict:
    if rng.random() < 0.15:
        return {"refer": "workshop"}
    return {
        "do": "Put it right",
        "by": "owner",
        "hands": "controls",
        "minutes": rng.choice([5, 12, 30, 45]),
        "cures": rng.choice([1, 0.9, 0.6]),
        **({"at": rng.choice(["front", "back"])} if rng.random() < 0.5 else {}),
    }


def _check(rng: Random, causes: list[str]) -> dict:
    answers = ["one", "two"]
    told = rng.sample(causes, rng.randint(2, 3))
    return {
        "ask": "What is there?",
        "hands": "look",
        "by": "owner",
        "minutes": rng.choice([1, 2, 4, 7]),
        **({"at": rng.choice(["front", "back"])} if rng.random() < 0.3 else {}),
        "answers": {id: id.title() for id in answers},
        "expect": {
            **{id: {"one": rng.choice([0.7, 0.85, 0.97])} for id in told},
            "otherwise": {"two": rng.choice([0.6, 0.8, 0.95])},
        },
    }


def model_of(tree: Tree) -> Model:
    """The tree for an owner, as its file says."""
    return build_model(tree, "owner", Settings(), Tally())


def after_the_first_questions(tree: Tree, **answers: str) -> Situation:
    """The harmless answers to what is asked first, and further ones (look_0 stands for look-0)."""
    first = {id: tree.checks[id].answer_ids()[0] for id in tree.ask_first}
    more = {id.replace("_", "-"): answer for id, answer in answers.items()}
    return Situation({id: Finding(id, answer) for id, answer in (first | more).items()})


@dataclass(frozen=True)
class Dearer:
    """A tree, the question that is planned at once, and an answer after which planning at once is dearer."""

    tree: Tree
    model: Model
    asked: Step
    answer: str
    at_once: Step
    best: Step


@cache
def dearer() -> tuple[Dearer, ...]:
    """All there are among the seeds, none with more than one equally good step."""
    return tuple(_all_dearer())


@cache
def first_dearer() -> Dearer:
    """The first of them, for which not every seed has to be looked at."""
    return next(_all_dearer())


def _all_dearer() -> Iterator[Dearer]:
    return (each for seed in range(SEEDS) if (each := _dearer(side_by_side(seed))) is not None)


def _dearer(tree: Tree) -> Dearer | None:
    model = model_of(tree)
    first = after_the_first_questions(tree)
    asked = next_step(model, first)
    for after, starts in situations_after(model, first, asked):
        state = state_of(model, after, starts)
        if asked.kind != "check" or not MOST_AT_ONCE < table_size(model, state) <= MOST_STATES:
            continue
        plan = exact_plan(model, state)
        steps, at_once = steps_of(model), next_step(model, after, starts)
        value = dict(zip(steps, plan.values, strict=True))[at_once]
        best, second = np.sort(plan.values)[:2]
        if value > best * 1.002 and second > best * (1 + 1e-6):
            to = steps[int(plan.values.argmin())]
            return Dearer(tree, model, asked, after.findings[asked.of].answer or "", at_once, to)
    return None


def steps_of(model: Model) -> list[Step]:
    """Every step by its code."""
    from diagnose.reasoning.decisions import step_of

    last = model.referrals + model.hand_overs
    return [step_of(model, code) for code in range(len(model.checks) + len(model.remedies) + last)]
