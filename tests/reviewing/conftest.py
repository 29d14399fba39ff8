"""A made-up tree with its route, and pasts of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.reasoning.model import build_model
from tests.reasoning.fleets import tree as made_up_tree
from tests.reviewing.made_up_past import Walker, made_up


@pytest.fixture(scope="session")
def tree():
    """Nine causes of which a workshop sees to three, six checks; no danger question."""
    tree = made_up_tree()
    theirs = {
        id: replace(tree.events[id], remedy=replace(tree.events[id].remedy, kind="refer", text="workshop"))
        for id in ("flat", "pump", "panel")
    }
    return replace(tree, events={**tree.events, **theirs})


@pytest.fixture(scope="session")
def model(tree):
    """The tree as its file says."""
    return build_model(tree)


@pytest.fixture(scope="session")
def route(model):
    """The compiled route."""
    from diagnose.walking.shelf import route_for

    return route_for(model)


@pytest.fixture(scope="session")
def past_of(model, route):
    """`past_of(number, seed)` makes up so many cases by chance."""

    def make(number, seed=1, **more):
        rng = np.random.default_rng(seed)
        return list(made_up([Walker(model, rng, route=route)], rng, number, **more))

    return make
