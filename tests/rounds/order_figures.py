"""How far the orders of long rounds lie above their bounds: the table of docs/rounds-arithmetic.md.

`python -m tests.rounds.order_figures` prints it. Steps are counted, not timed: every machine gets the same.
"""

from __future__ import annotations

from statistics import median

from diagnose.rounds.ordering import planned
from tests.rounds.made import made_up

LINKS = (0.02, 0.05, 0.1, 0.2)
"""How often one task must come before another."""


def table() -> str:
    """Rounds of 20 and 60 tasks at twelve places, one for each of `LINKS`."""
    lines = ["| open tasks | with a wait | proved the best | median | worst |", "|--:|--:|--:|--:|--:|"]
    for number in (20, 60):
        for waits in (0, 0.1, 0.4):
            plans = [planned(*made_up(number, seed, 12, links, waits)) for seed, links in enumerate(LINKS)]
            gaps = [plan.minutes / plan.bound - 1 for plan in plans]
            best = sum(plan.exact for plan in plans)
            lines.append(
                f"| {number} | {waits:.0%} | {best} of {len(gaps)} | {median(gaps):.1%} | {max(gaps):.1%} |"
            )
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    print(table())
