"""The six trees about gas, and what their tests ask of them."""

from __future__ import annotations

import pytest

from tests.trees.shipped import harmless, route_of, tree_of

GAS = (
    "water-heater-no-fire",
    "wet-heating-cold",
    "gas-gone",
    "alarm-sounded-earlier",
    "hob-hisses-on",
    "absorption-fridge",
)
NO_PUZZLES = ("alarm-sounded-earlier", "hob-hisses-on")
every_gas_tree = pytest.mark.parametrize("id", GAS)
no_puzzle = pytest.mark.parametrize("id", NO_PUZZLES)


def ends(id, *answers, role="owner"):
    """The kind and the id of the step that these answers, from the first question on, lead to."""
    route = route_of(id, role)
    node = route.nodes[route.start]
    for answer in answers:
        node = route.nodes[node.edges[answer].to]
    return node.kind, node.of


def answers_up_to(id, check, answer):
    """The harmless answers to the danger questions before a check, and this answer to it."""
    tree = tree_of(id)
    first = tree.ask_first[: tree.ask_first.index(check)]
    return [*(harmless(id, each) for each in first), answer]


def owner_remedies(id):
    return {cause.id: cause.remedy for cause in tree_of(id).causes() if cause.remedy.kind == "do"}
