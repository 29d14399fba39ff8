"""A made-up tree with its route, and pasts of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.cases.store import open_store
from diagnose.knowledge.collection import UnknownSymptom
from diagnose.reasoning.model import build_model
from diagnose.reasoning.route import route_to_json
from diagnose.reviewing import history
from diagnose.reviewing.scoring import Wanted, review
from diagnose.terms import Settings
from diagnose.walking.shelf import route_digest, route_for
from tests.reasoning.fleets import tree as made_up_tree
from tests.reviewing.made_up_past import Walker, fill, made_up


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
    return route_for(model)


@pytest.fixture(scope="session")
def shelf(tmp_path_factory, model, route):
    """A cache folder that has the tree's route."""
    folder = tmp_path_factory.mktemp("routes")
    (folder / f"{route_digest(model)}.json").write_text(route_to_json(route))
    return folder


@pytest.fixture
def without_minutes(monkeypatch):
    """No route is compiled for what it lets expect."""
    monkeypatch.setattr(history, "minutes_by_cause", lambda model, cache: None)


@pytest.fixture(scope="session")
def past_of(model, route):
    """`past_of(number, seed)` makes up so many cases by chance."""

    def make(number, seed=1, **more):
        rng = np.random.default_rng(seed)
        return list(made_up([Walker(model, rng, route=route)], rng, number, **more))

    return make


@pytest.fixture
def scored(tree, shelf, tmp_path, monkeypatch):
    """`scored(past)` is the review of a store of just these cases; minutes are reckoned where wanted."""

    def make(past, settings=Settings(), url=None, before=lambda store: None, minutes=False, **wanted):  # noqa: B008
        if not minutes:
            monkeypatch.setattr(history, "minutes_by_cause", lambda model, cache: None)
        trees = {tree.id: tree, "twin": replace(tree, id="twin")}

        def tree_of(symptom):
            if symptom not in trees:
                raise UnknownSymptom(symptom, ())
            return trees[symptom]

        with open_store(url or str(tmp_path / f"{len(list(tmp_path.iterdir()))}.sqlite")) as store:
            fill(store, past)
            before(store)
            return review(store, Wanted(tree_of, settings, cache=shelf, **wanted))

    return make
