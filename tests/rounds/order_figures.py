"""How far the orders of long rounds lie above their bounds: the table of docs/rounds-arithmetic.md.

`python -m tests.rounds.order_figures` prints it. Steps are counted, not timed: every machine gets the same.
"""

from __future__ import annotations

from statistics import median

from diagnose.rounds.ordering import planned
from tests.rounds.made import made_up

LINKS = (0.02, 0.05, 0.1, 0.2)
"""How often one task must come before another."""


ROWS = tuple((number, waits) for number in (20, 60) for waits in (0, 0.1, 0.4))
"""Open tasks, and the part of them that has a wait."""


def row(number: int, waits: float) -> str:
    """Rounds of so many tasks at twelve places, one for each of `LINKS`."""
    plans = [planned(*made_up(number, seed, 12, links, waits)) for seed, links in enumerate(LINKS)]
    gaps = [plan.minutes / plan.bound - 1 for plan in plans]
    best = sum(plan.exact for plan in plans)
    return f"| {number} | {waits:.0%} | {best} of {len(gaps)} | {median(gaps):.1%} | {max(gaps):.1%} |"


def table() -> str:
    """The whole of it."""
    lines = ["| open tasks | with a wait | proved the best | median | worst |", "|--:|--:|--:|--:|--:|"]
    return "\n".join([*lines, *(row(*each) for each in ROWS)]) + "\n"


if __name__ == "__main__":
    print(table())
