"""The figures of docs/planner.md. To write its tables anew: python -m tests.reasoning.planner_figures

That takes half an hour. With `small`, `medium`, `large` or `shipped` only those tables are written; with
`--quick` or a choice of problems what is measured is printed, and nothing is written.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
from pathlib import Path
from statistics import median

from tests.reasoning.planner_measures import (
    ONE_THREAD,
    RIVALS,
    of_large,
    of_medium,
    of_shipped,
    of_small,
)
from tests.reasoning.planner_problems import large, medium, small
from tests.trees.shipped import ROLES, TREES

DOCUMENT = Path(__file__).resolve().parents[2] / "docs" / "planner.md"
SMALL, MEDIUM, LARGE = 300, 12, 12
SECONDS_TO_SEARCH = 60.0
SIZES = {"3 and 4": (3, 4), "5 and 6": (5, 6), "7 and 8": (7, 8), "all": range(3, 9)}
HEADS = {
    "small": ["causes", "problems", "route", "worst", "tables", "search alone", "worst", "bound", "worst"],
    "medium": ["problem", "states", "optimum", "route", "route / optimum", "steps", "bound / optimum"],
    "large": ["problem", "route", "best", "route / best", *RIVALS, "bound / route", "steps", "MiB"],
    "shipped": ["tree", "role", "route", *RIVALS, "bound / route", "steps"],
}


# Rows ------------------------------------------------------------------------------------------------------


def small_rows(found):
    for name, causes in SIZES.items():
        some = [each for each in found if each.problem.causes in causes]
        if some:
            yield [name, str(len(some)), *_small_ratios(some)]


def _small_ratios(some):
    def over(what):
        return [getattr(each, what) / each.optimum for each in some]

    yield from (f"{median(over('route')):.4f}", f"{max(over('route')):.4f}")
    yield f"{max(over('tables'), key=lambda ratio: abs(ratio - 1)):.4f}"
    yield from (f"{median(over('searched')):.4f}", f"{max(over('searched')):.4f}")
    yield from (f"{median(over('bound')):.3f}", f"{min(over('bound')):.3f}")


def medium_row(each):
    ratio, bound = each.route / each.optimum, each.bound / each.optimum
    states = f"{each.problem.tables:,}"
    costs = [f"{each.optimum:.2f}", f"{each.route:.2f}"]
    return [str(each.problem), states, *costs, f"{ratio:.4f}", str(each.nodes), f"{bound:.3f}"]


def large_row(each):
    return [
        str(each.problem),
        f"{each.route:.2f}",
        f"{each.best:.2f}",
        f"{each.route / each.best:.4f}",
        *_rival_ratios(each),
        f"{each.bound / each.route:.3f}",
        str(each.nodes),
        f"{each.mebibytes:.0f}",
    ]


def shipped_row(each):
    bound = f"{each.bound / each.route:.3f}"
    return [each.id, each.role, f"{each.route:.2f}", *_rival_ratios(each), bound, f"{each.nodes:,}"]


def _rival_ratios(each):
    """How much dearer each rival is."""
    return [f"{each.rivals[name] / each.route:.4f}" for name in RIVALS]


# The document ----------------------------------------------------------------------------------------------


def table_in(name):
    """Where a table stands in the document."""
    return re.compile(rf"(?<=<!-- {name} -->\n).*?(?=<!-- end of {name} -->)", re.DOTALL)


def written(name):
    """The rows of a table as the document has them, a list of cells each."""
    (shown,) = table_in(name).findall(DOCUMENT.read_text(encoding="utf-8"))
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in shown.splitlines()[2:]]


def write(name, rows):
    head = HEADS[name]
    columns = "|".join(["---", *["--:"] * (len(head) - 1)])
    lines = [f"| {' | '.join(cells)} |" for cells in (head, *rows)]
    drawn = "\n".join([lines[0], f"|{columns}|", *lines[1:]]) + "\n"
    text = DOCUMENT.read_text(encoding="utf-8")
    DOCUMENT.write_text(table_in(name).sub(lambda _: drawn, text), encoding="utf-8")


def rows_of(name, seconds=SECONDS_TO_SEARCH):
    if name == "small":
        return list(small_rows([of_small(each) for each in small(SMALL)]))
    if name == "medium":
        return [medium_row(of_medium(each)) for each in medium(MEDIUM)]
    if name == "large":
        return [large_row(of_large(each, seconds)) for each in large(LARGE)]
    return [shipped_row(of_shipped(id, role)) for id in TREES for role in ROLES]


# The command -----------------------------------------------------------------------------------------------


def say(name, rows):
    print(" | ".join(HEADS[name]))
    for row in rows:
        print(" | ".join(row), flush=True)


def say_small(first, number):
    found = []
    for problem in small(number, first):
        each = of_small(problem)
        found.append(each)
        parts = [getattr(each, what) / each.optimum for what in ("route", "searched", "bound")]
        print(f"{problem}: {each.optimum:.2f}", *(f"{ratio:.5f}" for ratio in parts), flush=True)
    say("small", small_rows(found))


def say_large(first, number, seconds):
    print(" | ".join([*HEADS["large"], "seconds"]))
    for problem in large(number, first):
        each = of_large(problem, seconds)
        print(" | ".join([*large_row(each), f"{each.seconds:.2f}"]), flush=True)


def main(arguments):
    reader = argparse.ArgumentParser(prog="python -m tests.reasoning.planner_figures", description=__doc__)
    reader.add_argument("tables", nargs="*", choices=[[], *HEADS], help="write only these")
    reader.add_argument("--quick", action="store_true", help="print a few problems of each class")
    for name in ("small", "medium", "large"):
        reader.add_argument(f"--{name}", type=int, nargs=2, metavar=("FIRST", "NUMBER"), help="print these")
    reader.add_argument(
        "--search", type=float, help="seconds of long search for each large one (60 where tables are written)"
    )
    asked = reader.parse_args(arguments)
    if asked.quick:
        asked.small, asked.medium, asked.large = (0, 40), (0, 4), (0, 6)
    if asked.small:
        say_small(*asked.small)
    if asked.medium:
        say("medium", map(medium_row, map(of_medium, medium(asked.medium[1], asked.medium[0]))))
    if asked.large:
        say_large(*asked.large, asked.search or 0.0)
    if asked.small or asked.medium or asked.large:
        return
    for name in asked.tables or HEADS:
        rows = rows_of(name, asked.search or SECONDS_TO_SEARCH)
        write(name, rows)
        say(name, rows)


if __name__ == "__main__":
    os.environ |= ONE_THREAD
    main(sys.argv[1:])
