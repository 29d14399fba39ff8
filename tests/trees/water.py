"""The seven trees about water and the toilet, and what their tests ask of them."""

from __future__ import annotations

import pytest

from tests.trees.shipped import (
    harmless,
    route_of,
    tree_of,
)

WATER = (
    "no-hot-water",
    "frost-valve-opens",
    "leak-inside",
    "damp-musty",
    "bits-in-water",
    "toilet-no-flush",
    "cassette-blade",
)
every_water_tree = pytest.mark.parametrize("id", WATER)


def remedies(id):
    return {cause.id: cause.remedy for cause in tree_of(id).causes() if cause.remedy.kind == "do"}


def after_danger_question(id, check, answer, role="owner"):
    """The step after this answer to a danger question, all before it answered without harm."""
    route, first = route_of(id, role), tree_of(id).ask_first
    node = route.nodes[route.start]
    for each in first[: first.index(check)]:
        assert node.of == each
        node = route.nodes[node.edges[harmless(id, each)].to]
    assert node.of == check
    node = route.nodes[node.edges[answer].to]
    return node.kind, node.of
