"""The six trees about engine and 12 V, and what their tests ask of them."""

from __future__ import annotations

import pytest

from tests.trees.shipped import COMMON, route_of, tree_of

ELECTRICS = (
    "engine-no-start",
    "habitation-dead",
    "leisure-battery-weak",
    "lights-dim",
    "roof-light-or-step",
    "compressor-fridge",
)
every_one = pytest.mark.parametrize("id", ELECTRICS)


def end(id, answers, role="owner"):
    """The kind and id of the step that these answers, from the first question on, lead to."""
    route = route_of(id, role)
    node = route.nodes[route.start]
    for answer in answers:
        node = route.nodes[node.edges[answer].to]
    return node.kind, node.of


def harmless(id):
    """The harmless answers to the danger questions of a tree, in order."""
    checks = [tree_of(id).checks.get(each) or COMMON.checks[each] for each in tree_of(id).ask_first]
    return [next(answer for answer in each.answer_ids() if answer not in each.stop_on) for each in checks]


def remedy(id, cause):
    return tree_of(id).events[cause].remedy


def whole(id, cause):
    """All that is said of a remedy."""
    return f"{remedy(id, cause).text} {remedy(id, cause).how}"


def texts(id):
    """Everything that a tree tells somebody to do or to look at."""
    tree = tree_of(id)
    for check in tree.checks.values():
        yield from (text for text in (check.ask, check.how) if text)
    for cause in tree.causes():
        if cause.remedy.kind == "do":
            yield from (text for text in (cause.remedy.text, cause.remedy.how) if text)
