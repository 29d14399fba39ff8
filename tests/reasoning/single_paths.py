"""Paths written down step by step, for rule 3 of the proof: where it must have referred."""

from __future__ import annotations

from dataclasses import replace

from networkx import MultiDiGraph, topological_sort

from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof_of_referring import (
    _suspects,
    must_have_referred,
)
from tests.reasoning.by_hand import cause, check, do, faults, model_of

REFER = {"refer": "gas-engineer"}
GAS = {"hands": "controls", "expect": {"blocked": {"one": 0.5}}}
"""A check of the gas cause that tells next to nothing."""


def made(checks=None, role="owner", ask_first=(), tries=None, **causes):
    """A model whose fixed questions and tries are those of the test, not those that gas asks for."""
    causes = causes or {"blocked": cause(60, REFER, hazard="gas"), "fuse": cause(30), "pump": cause(5)}
    model = model_of(faults(**causes), checks, ask_first=["smell-of-gas", "co-alarm"])
    return build_model(replace(model.tree, ask_first=tuple(ask_first), tries=tries), role)


def chain(*steps, more=()):
    """The graph of `check flame: one`, `remedy fuse` and so on, and of (from, to, answer) besides."""
    graph = MultiDiGraph(start=0)
    for at, step in enumerate(steps):
        step, _, answer = step.partition(": ")
        kind, _, of = step.partition(" ")
        graph.add_node(at, kind=kind, of=of)
        if answer:
            graph.add_edge(at, at + 1, key=answer)
    for source, to, answer in more:
        graph.add_edge(source, to, key=answer)
    return graph


def broken_at(model, *steps, more=()):
    """The step that should have been a referral, or None; the path must be the whole way to it."""
    graph = chain(*steps, more=more)
    found = must_have_referred(graph, model, list(topological_sort(graph)))
    if found is None:
        return None
    path, at = found
    if not more:
        assert path == [(before, steps[before].partition(": ")[2]) for before in range(at)]
    return f"{graph.nodes[at]['kind']} {graph.nodes[at]['of']}"


def suspected(model, *steps, more=()):
    """The nodes at which nothing of theirs may be left on some path: only there are beliefs looked at."""
    from diagnose.reasoning.proof_of_referring import _step_bits, _theirs

    graph = chain(*steps, more=more)
    bits, starting, restoring = _step_bits(model)
    theirs = [_theirs(model, bits, "gas")]
    return _suspects(graph, model, list(topological_sort(graph)), bits, starting, restoring, theirs)


STARTING = {"flame": check(**GAS, starts=True), "run": check(starts=True), "look": check()}


RESTORING = {
    "flame": check(**GAS, restores="mains"),
    "plug": check(restores="mains"),
    "look": check(),
}


def restoring():
    back = do(restores="mains")
    return made(RESTORING, blocked=cause(60, REFER, hazard="gas"), fuse=cause(20, back), pump=cause(10))
