"""The problems that the planner is measured on: made-up trees of three classes of size, chosen by seed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from diagnose.reasoning.exact import table_size
from diagnose.reasoning.model import build_model
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.made_up_large import OTHER_TREES, made_up_of

SMALL_TABLES = 100_000
"""Small problems with larger tables are passed over: trying everything would take minutes each."""
QUICK_TABLES = 6_000
"""The same where tests must be quick."""
MEDIUM_TABLES = (300_000, 1_500_000)
"""Too large to be planned exactly as a matter of course, small enough to be for once."""


@dataclass(frozen=True)
class Problem:
    """A made-up tree by its seed and size, for one role."""

    seed: int
    causes: int
    checks: int
    role: str = "owner"

    def __str__(self):
        return f"{self.causes} × {self.checks}, {self.seed}" + ("*" if self.role == "technician" else "")

    @property
    def tree(self):
        return made_up_of(self.seed, self.causes, self.checks)

    @property
    def model(self):
        return _model(self)

    @property
    def root(self):
        return state_of(self.model, Situation())

    @property
    def tables(self):
        """How many states whole tables hold."""
        return table_size(self.model, self.root)


@lru_cache(maxsize=64)
def _model(problem):
    return build_model(problem.tree, problem.role, other_trees=OTHER_TREES)


def small(number, first=0, most=SMALL_TABLES):
    """3 to 8 causes and 2 to 6 checks: every size in turn; each seventh for a technician."""
    found, seed = [], first
    while len(found) < number:
        problem = Problem(seed, 3 + seed % 6, 2 + seed // 6 % 5, "technician" if seed % 7 == 3 else "owner")
        if problem.tables <= most:
            found.append(problem)
        seed += 1
    return found


def medium(number, first=0):
    """10 to 13 causes and 7 checks, within the bounds of `MEDIUM_TABLES`."""
    found, seed = [], first
    while len(found) < number:
        problem = Problem(seed, 10 + seed % 4, 7)
        if MEDIUM_TABLES[0] < problem.tables <= MEDIUM_TABLES[1]:
            found.append(problem)
        seed += 1
    return found


def large(number, first=0):
    """15 to 30 causes and 10 to 15 checks, every seed there is."""
    return [Problem(seed, 15 + 5 * seed % 16, 10 + seed % 6) for seed in range(first, first + number)]
