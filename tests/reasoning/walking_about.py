"""Random walks through a tree: situations as the package takes them, beside the same as a plain state."""

from __future__ import annotations

from random import Random

from diagnose.terms import NOT_CURED, NOT_SURE, Finding, Situation
from tests.reasoning.exhaustive import Exhaustive, Here


def walks(planner: Exhaustive, seed: int, walks: int):
    """Every situation (with its plain state) along some walks in which allowed steps are taken by chance."""
    rng = Random(seed)
    for _ in range(walks):
        findings, tried, here = {}, {}, Here(planner.plain.prior)
        while True:
            yield Situation(findings=dict(findings), tried=dict(tried)), here
            going_on = [step for step in planner.steps(here) if step[0] in ("check", "remedy")]
            if not going_on:
                break
            kind, id = rng.choice(going_on)
            if kind == "check":
                check = planner.tree.checks[id]
                answers = [each.id for each in check.answers if each.id not in check.stop_on]
                unsure = id not in planner.tree.ask_first and rng.random() < 0.2
                answer = NOT_SURE if unsure else rng.choice(answers)
                chance, here = planner.after_check(id, None if unsure else answer, here)
                findings[id] = Finding(id, answer)
            else:
                chance, here = planner.after_failure(id, here)
                tried[id] = NOT_CURED
            if chance < 1e-12:
                break
