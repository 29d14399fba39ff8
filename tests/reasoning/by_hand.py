"""Trees written down by hand in a few words, for tests that work a figure out or break one rule."""

from __future__ import annotations

from diagnose.reasoning.model import build_model
from tests.reasoning.made_up_trees import OTHER_TREES, read

LOOK = {"ask": "What?", "hands": "look", "by": "owner", "minutes": 1, "answers": {"one": "1", "two": "2"}}


def do(**more):
    return {"do": "Put it right", "by": "owner", "hands": "look", "minutes": 10, **more}


def cause(in_100=None, remedy=None, **more):
    share = {} if in_100 is None else {"in_100": in_100}
    return {"says": "So it is", "hazard": "none", **share, "remedy": remedy or do(), **more}


def gate(kind, in_100=None, **inputs):
    share = {} if in_100 is None else {"in_100": in_100}
    return {
        "says": "So it comes about",
        **share,
        kind: {id.replace("_", "-"): each for id, each in inputs.items()},
    }


def check(**more):
    """A look with two answers that tells nothing apart, unless more is said."""
    return {**LOOK, "expect": {}, **more}


def content_of(faults, checks=None, **more):
    """A tree's mapping."""
    return {
        "symptom": "It does not work",
        "system": "water",
        "refer_to": "workshop",
        "cured_when": {"ask": "Does it work?"},
        "faults": faults,
        "checks": checks or {"look": check()},
        **more,
    }


def faults(**inputs):
    return {"any_of": {id.replace("_", "-"): each for id, each in inputs.items()}}


def model_of(faults, checks=None, role="owner", **more):
    """The model of a tree that the loader has read."""
    tree = read(content_of(faults, checks, **more), "by-hand")
    return build_model(tree, role, other_trees=OTHER_TREES)
