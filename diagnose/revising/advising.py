"""All advice on a tree: what its file says of itself, its texts, its routes, and its past cases.

The first is found while the file is read and stands in the tree. The others take longer (some tenths of a
second, once the routes are compiled) and are found for whoever looks after a tree: never before a walk.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.advising_texts import advice_on_texts
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route
from diagnose.revising.advising_cases import advice_on_cases
from diagnose.revising.advising_routes import advice_on_routes
from diagnose.terms import Advice, Role, Tally, Tree


def advice_on(
    tree: Tree,
    models: Mapping[Role, Model],
    routes: Mapping[Role, Route],
    tally: Tally | None = None,
) -> tuple[Advice, ...]:
    """What is to be said of a tree and is not accepted in it, by place.

    `models` and `routes` are those of the file's own figures, for each role: a check that only many past
    cases make needless is no fault of the file. `tally` holds the sums of confirmed cases under the ids at
    confirmation; without one nothing is said of cases.
    """
    found = [*tree.advice, *advice_on_texts(tree), *advice_on_routes(tree, models, routes)]
    if tally is not None:
        found += advice_on_cases(models["technician"], tally)
    return tuple(sorted({advice for advice in found if advice.name not in tree.accept}))
