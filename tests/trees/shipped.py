"""The shipped trees, loaded, modelled and routed once for all tests of them."""

from __future__ import annotations

import os
from fcntl import LOCK_EX, flock
from functools import cache
from pathlib import Path

import pytest

from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_for

LIBRARY = Library()
COMMON = LIBRARY.common()
TREES = (
    "engine-no-crank",
    "heater-no-fire",
    "hob-goes-out",
    "hook-up-trips",
    "water-pump",
    "wet-after-washing",
)
"""Trees whose walks and figures are looked at closely; every other one is held to the same rules."""
EVERY_TREE = LIBRARY.ids()
SOME_QUICKLY = [pytest.param(id, marks=[] if id in TREES else pytest.mark.long) for id in EVERY_TREE]
"""Every tree for what takes seconds: those that are looked at closely at once, the others as long tests."""
ROLES = ("owner", "technician")


@cache
def tree_of(id):
    """A shipped tree."""
    return LIBRARY.tree(id)


@cache
def model_of(id, role="owner"):
    """A shipped tree as arrays."""
    return build_model(tree_of(id), role=role, other_trees=frozenset(EVERY_TREE))


def routes():
    """Where routes are kept for all processes of a test run; None outside one."""
    folder = os.environ.get("ROUTES_OF_THIS_RUN")
    return Path(folder) if folder else None


@cache
def route_of(id, role="owner"):
    """A shipped tree's route; of several processes that want it at once one compiles it."""
    folder = routes()
    if folder is None:
        return route_for(model_of(id, role))
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / f"{id}-{role}.lock").open("w", encoding="ascii") as lock:
        flock(lock, LOCK_EX)
        return route_for(model_of(id, role), folder)


def in_order(text, *parts):
    """Whether the parts stand in the text in this order."""
    at = 0
    for part in parts:
        at = text.find(part, at)
        if at < 0:
            return False
        at += len(part)
    return True


def harmless(id, check):
    """The first answer to a check that stops nothing."""
    known = tree_of(id).checks.get(check) or COMMON.checks[check]
    return next(answer for answer in known.answer_ids() if answer not in known.stop_on)


def stops_wherever_asked(id, check, answer, referral):
    """Asserts that an answer stops the walk with this referral at every place where the route asks for it."""
    seen = tree_of(id).checks[check]
    assert (answer in seen.stop_on, seen.refer) == (True, referral)
    nodes = route_of(id).nodes
    asked = [node for node in nodes if node.of == check]
    assert asked
    for node in asked:
        stop = nodes[node.edges[answer].to]
        assert (stop.kind, stop.of) == ("stop", referral)
