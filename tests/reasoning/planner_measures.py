"""What is measured of the planner on one problem; all costs are expected minutes."""

from __future__ import annotations

import os
import resource
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from time import process_time

from diagnose.reasoning import bounds, unfolding
from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.compiling import compile_route, route_by
from diagnose.reasoning.exact import exact_plan
from diagnose.reasoning.figures import figures
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.planning import LookAhead
from diagnose.reasoning.proof import UnsafeRoute, prove
from diagnose.reasoning.searching import SearchedPlan
from tests.reasoning.exhaustive import Exhaustive, Here
from tests.reasoning.made_up_large import OTHER_TREES
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.planner_problems import Problem
from tests.reasoning.route_by_hand import follow
from tests.reasoning.simple_rivals import BitsPerMinute, InFileOrder, InFileOrderIfWorthIt
from tests.trees.shipped import model_of, route_of

RIVALS = {
    "one step ahead": (LookAhead,),
    "bits per minute": (BitsPerMinute,),
    "file order": (InFileOrder, InFileOrderIfWorthIt),
}
"""Of several ways to follow the author's order the cheaper counts."""
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
TRUSTS = (0.6, 0.45, 0.75, 0.3, 0.9)
"""How far a long search trusts that causes will be known, one after the other."""


def cost_of(route, problem):
    """The cost of a route; inf where it breaks a rule of safety."""
    try:
        prove(route_graph(route, problem.model), problem.model)
    except UnsafeRoute as unsafe:
        print(f"{problem}: {unsafe}", flush=True)
        return float("inf")
    return figures(route, problem.model).expected.cost


# Small and medium ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class OfSmall:
    """Against the optimum, found by trying everything without any of the package's reasoning."""

    problem: Problem
    optimum: float
    route: float
    tables: float
    """The exact plan; it has no branch that is too improbable."""
    searched: float
    """The route by search alone, which is not used for problems of this size."""
    told: float
    """The lower bound as the package tells it."""
    bound: float
    """The lower bound as it is told of larger trees."""


def of_small(problem):
    plain = plainly(problem.tree, problem.role)
    optimum = Exhaustive(plain, OTHER_TREES).value(Here(plain.prior))
    route = compile_route(problem.model)
    # The proof is made for its refusal; the cost is summed once more without the package.
    cost = follow(route, plain).cost() if cost_of(route, problem) < float("inf") else float("inf")
    searched = route_by(problem.model, SearchedPlan(problem.model, problem.root))
    return OfSmall(
        problem,
        optimum,
        cost,
        exact_plan(problem.model, problem.root).cost,
        cost_of(searched, problem),
        least_minutes(problem.model),
        bound_without_tables(problem),
    )


def bound_without_tables(problem):
    """The lower bound as it is made of trees that are too large for tables."""
    before = bounds.affordable
    bounds.affordable = lambda model: False
    try:
        return least_minutes(problem.model)
    finally:
        bounds.affordable = before


@dataclass(frozen=True)
class OfMedium:
    """Against the optimum by whole tables."""

    problem: Problem
    optimum: float
    route: float
    bound: float
    nodes: int


def of_medium(problem):
    route = compile_route(problem.model)
    return OfMedium(
        problem,
        exact_plan(problem.model, problem.root).cost,
        cost_of(route, problem),
        bound_without_tables(problem),
        len(route.nodes),
    )


# Large -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class OfLarge:
    """Against ways to choose that need no planning, and against a long search."""

    problem: Problem
    route: float
    bound: float
    nodes: int
    seconds: float
    """Processor time of compiling, on one thread."""
    mebibytes: float
    """The most that the whole process ever held."""
    rivals: dict
    best: float
    """The cheapest route that any of them found, the route itself included."""


def of_large(problem, seconds_to_search):
    compiled = compiled_apart(problem)
    route = cost_of(compiled.route, problem)
    rivals = rival_costs(problem)
    found = searched_long(problem, seconds_to_search) if seconds_to_search else route
    return OfLarge(
        problem,
        route,
        least_minutes(problem.model),
        len(compiled.route.nodes),
        compiled.seconds,
        compiled.mebibytes,
        rivals,
        min(route, found, *rivals.values()),
    )


@dataclass(frozen=True)
class OfShipped:
    """A shipped tree for one role."""

    id: str
    role: str
    route: float
    bound: float
    nodes: int
    rivals: dict


def of_shipped(id, role):
    model, route = model_of(id, role), route_of(id, role)
    cost = figures(route, model).expected.cost
    rivals = {
        name: min(figures(route_by(model, each(model)), model).expected.cost for each in ways)
        for name, ways in RIVALS.items()
    }
    return OfShipped(id, role, cost, least_minutes(model), len(route.nodes), rivals)


def rival_costs(problem):
    """Name -> what the route of a rival costs."""
    return {
        name: min(cost_of(route_by(problem.model, each(problem.model)), problem) for each in ways)
        for name, ways in RIVALS.items()
    }


def searched_long(problem, seconds):
    """The cheapest route of ever longer searches, begun within so many seconds of processor time."""
    start, best, expansions = process_time(), float("inf"), 4000
    while True:
        for trust in TRUSTS:
            if process_time() - start > seconds:
                return best
            with trusting(trust):
                plan = SearchedPlan(problem.model, problem.root, expansions)
            best = min(best, cost_of(route_by(problem.model, plan), problem))
        expansions *= 3


@contextmanager
def trusting(trust):
    before = unfolding.KAPPA
    unfolding.KAPPA = trust
    try:
        yield
    finally:
        unfolding.KAPPA = before


@dataclass(frozen=True)
class Compiled:
    """A route with what it took to compile it in a process of its own."""

    route: object
    seconds: float
    mebibytes: float


def compiled_apart(problem):
    """Compiles a problem's route on one thread in a fresh process."""
    before = dict(os.environ)
    os.environ |= ONE_THREAD
    try:
        context = get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        child = context.Process(target=_compile_and_tell, args=(problem, theirs))
        child.start()
    finally:
        os.environ.clear()
        os.environ |= before
    theirs.close()
    found = ours.recv()
    child.join()
    return found


def _compile_and_tell(problem, pipe):
    model = problem.model
    start = process_time()
    route = compile_route(model)
    pipe.send(Compiled(route, process_time() - start, _most_held()))


def _most_held():
    """Peak mebibytes of this process. What the system calls its own peak counts its parent's, so not that."""
    status = Path("/proc/self/status")
    if status.exists():
        for line in status.read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
