"""Measures the planner. To measure something: python -m tests.reasoning.planner_figures --help"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import sys
from dataclasses import dataclass
from functools import cache
from statistics import median
from time import perf_counter, process_time

from diagnose.reasoning import unfolding
from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.compiling import compile_route, route_by
from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.figures import figures
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import LookAhead
from diagnose.reasoning.proof import UnsafeRoute, prove
from diagnose.reasoning.searching import SearchedPlan
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.exhaustive import Exhaustive, Here
from tests.reasoning.made_up_large import OTHER_TREES, made_up_of
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.route_by_hand import follow
from tests.reasoning.simple_rivals import BitsPerMinute, InFileOrder, InFileOrderIfWorthIt

SMALL_TABLES = 100_000
"""Small problems with larger tables are passed over: trying everything would take minutes each."""
MEDIUM_TABLES = (300_000, 1_500_000)
"""Medium problems: too large to be planned exactly as a matter of course, small enough for memory."""


@dataclass(frozen=True)
class Problem:
    """A made-up tree by its seed and size, for one role."""

    seed: int
    causes: int
    checks: int
    role: str = "owner"

    def __str__(self):
        return f"{self.causes}x{self.checks}/{self.seed}" + ("t" if self.role == "technician" else "")

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
        return table_size(self.model, self.root)


@cache
def _model(problem):
    return build_model(problem.tree, problem.role, other_trees=OTHER_TREES)


# Which problems --------------------------------------------------------------------------------------------


def small(first, number, most=SMALL_TABLES):
    """3 to 8 causes and 2 to 6 checks, both roles in turn; the size goes round with the seed."""
    found, seed = [], first
    while len(found) < number:
        sizes = (3 + seed % 6, 2 + seed // 6 % 5)
        problem = Problem(seed, *sizes, "technician" if seed % 7 == 3 else "owner")
        if problem.tables <= most:
            found.append(problem)
        seed += 1
    return found


def medium(first, number):
    """10 to 13 causes and 7 checks."""
    found, seed = [], first
    while len(found) < number:
        problem = Problem(seed, 10 + seed % 4, 7)
        if MEDIUM_TABLES[0] < problem.tables <= MEDIUM_TABLES[1]:
            found.append(problem)
        seed += 1
    return found


def large(first, number):
    """15 to 30 causes and 10 to 15 checks."""
    return [Problem(seed, 15 + 5 * seed % 16, 10 + seed % 6) for seed in range(first, first + number)]


# What is measured ------------------------------------------------------------------------------------------


def cost_of(route, problem):
    """Expected minutes, read off the route; inf where it breaks a rule of safety."""
    try:
        prove(route_graph(route, problem.model), problem.model)
    except UnsafeRoute as refused:
        print(f"{problem}: {refused}", file=sys.stderr)
        return float("inf")
    return figures(route, problem.model).expected.cost


@dataclass(frozen=True)
class OfSmall:
    """Minutes: the optimum by trying everything, the route, the lower bound, the search by itself."""

    problem: Problem
    optimum: float
    route: float
    bound: float
    searched: float


def of_small(problem):
    plain = plainly(problem.tree, problem.role)
    optimum = Exhaustive(plain, OTHER_TREES).value(Here(plain.prior))
    route = follow(compile_route(problem.model), plain).cost()
    searched = cost_of(route_by(problem.model, SearchedPlan(problem.model, problem.root)), problem)
    return OfSmall(problem, optimum, route, bound_without_tables(problem), searched)


def bound_without_tables(problem):
    """The lower bound where no table gives it, whatever the size of the problem."""
    from diagnose.reasoning import bounds

    before = bounds.affordable
    bounds.affordable = lambda model: False
    try:
        return least_minutes(problem.model)
    finally:
        bounds.affordable = before


@dataclass(frozen=True)
class OfMedium:
    """Minutes: the optimum by whole tables, the route, the lower bound; nodes and processor seconds."""

    problem: Problem
    optimum: float
    route: float
    bound: float
    nodes: int
    seconds: float


def of_medium(problem):
    start = process_time()
    route = compile_route(problem.model)
    seconds = process_time() - start
    bound = least_minutes(problem.model)
    optimum = exact_plan(problem.model, problem.root).cost
    return OfMedium(problem, optimum, cost_of(route, problem), bound, len(route.nodes), seconds)


@dataclass(frozen=True)
class OfLarge:
    """Minutes of the route, of its rivals and of a long search (nought: none was made); bound and effort."""

    problem: Problem
    route: float
    bound: float
    nodes: int
    seconds: float
    mebibytes: float
    ahead: float
    bits: float
    order: float
    best: float = 0.0


def of_large(problem, seconds_to_search=0.0):
    route, seconds, mebibytes = compiled_apart(problem)
    rivals = {each: _cost_by(problem, each(problem.model)) for each in RIVALS}
    route_cost = cost_of(route, problem)
    best = min(route_cost, searched_long(problem, seconds_to_search)) if seconds_to_search else 0.0
    return OfLarge(
        problem,
        route_cost,
        least_minutes(problem.model),
        len(route.nodes),
        seconds,
        mebibytes,
        rivals[LookAhead],
        rivals[BitsPerMinute],
        min(rivals[InFileOrder], rivals[InFileOrderIfWorthIt]),
        best,
    )


RIVALS = (LookAhead, BitsPerMinute, InFileOrder, InFileOrderIfWorthIt)


def _cost_by(problem, planner):
    return cost_of(route_by(problem.model, planner), problem)


def searched_long(problem, seconds, kappas=(0.6, 0.45, 0.75, 0.3, 0.9)):
    """The cheapest route that searches with ever more to unfold find within a time, whatever their trust."""
    start, best, expansions = perf_counter(), float("inf"), 4000
    before = unfolding.KAPPA
    try:
        while True:
            for kappa in kappas:
                if perf_counter() - start > seconds:
                    return best
                unfolding.KAPPA = kappa
                plan = SearchedPlan(problem.model, problem.root, expansions)
                best = min(best, _cost_by(problem, plan))
            expansions *= 3
    finally:
        unfolding.KAPPA = before


def compiled_apart(problem):
    """The route, processor seconds and peak mebibytes of compiling it in a process of its own."""
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    child = context.Process(target=_compile_and_tell, args=(problem, theirs))
    child.start()
    found = ours.recv()
    child.join()
    return found


def _compile_and_tell(problem, pipe):
    model = problem.model
    start = process_time()
    route = compile_route(model)
    seconds = process_time() - start
    pipe.send((route, seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024))


# What is said ----------------------------------------------------------------------------------------------


def say_small(found):
    print("problem      tables  optimum  route/opt  search/opt  bound/opt")
    for each in found:
        told = [each.route, each.searched, each.bound]
        ratios = "  ".join(f"{cost / each.optimum:9.5f}" for cost in told)
        print(f"{each.problem!s:11} {each.problem.tables:7d} {each.optimum:8.2f}  {ratios}", flush=True)
    ratios = [each.route / each.optimum for each in found]
    searched = [each.searched / each.optimum for each in found]
    bounds = [each.bound / each.optimum for each in found]
    print(f"route/optimum: median {median(ratios):.6f}, worst {max(ratios):.6f} (limits 1.000, 1.005)")
    print(f"search alone: median {median(searched):.6f}, worst {max(searched):.6f}")
    print(f"bound/optimum: median {median(bounds):.4f}, worst {min(bounds):.4f}, most {max(bounds):.9f}")


def say_medium(found):
    print("problem      tables  optimum  route/opt  bound/opt  nodes  seconds")
    for each in found:
        ratio, bound = each.route / each.optimum, each.bound / each.optimum
        print(f"{each.problem!s:11} {each.problem.tables:7d} {each.optimum:8.2f} {ratio:9.5f}", end=" ")
        print(f"{bound:9.4f} {each.nodes:7d} {each.seconds:7.2f}", flush=True)
    ratios = [each.route / each.optimum for each in found]
    print(f"route/optimum: median {median(ratios):.6f}, worst {max(ratios):.6f} (limit 1.005)")


def say_large_head():
    print("problem        route  bound/r    nodes  cpu s    MiB  ahead/r   bits/r  order/r   r/best")


def say_large(each):
    told = [each.ahead / each.route, each.bits / each.route, each.order / each.route]
    best = each.route / each.best if each.best else float("nan")
    print(f"{each.problem!s:11} {each.route:8.2f} {each.bound / each.route:8.4f} {each.nodes:8d}", end=" ")
    print(f"{each.seconds:6.2f} {each.mebibytes:6.0f}", *(f"{ratio:8.4f}" for ratio in told), end=" ")
    print(f"{best:8.5f}", flush=True)


def main(arguments):
    reader = argparse.ArgumentParser(prog="python -m tests.reasoning.planner_figures", description=__doc__)
    reader.add_argument("--quick", action="store_true", help="a few problems of each class")
    reader.add_argument("--small", type=int, nargs=2, metavar=("FIRST", "NUMBER"))
    reader.add_argument("--medium", type=int, nargs=2, metavar=("FIRST", "NUMBER"))
    reader.add_argument("--large", type=int, nargs=2, metavar=("FIRST", "NUMBER"))
    reader.add_argument("--search", type=float, default=0.0, help="seconds of long search for each large one")
    asked = reader.parse_args(arguments)
    if asked.quick:
        asked.small, asked.medium, asked.large = (0, 40), (0, 4), (0, 6)
    if asked.small:
        say_small([of_small(each) for each in small(*asked.small)])
    if asked.medium:
        say_medium([of_medium(each) for each in medium(*asked.medium)])
    if asked.large:
        say_large_head()
        for each in large(*asked.large):
            say_large(of_large(each, asked.search))


if __name__ == "__main__":
    main(sys.argv[1:])
