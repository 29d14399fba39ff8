"""Every shipped tree as a Bayesian network of pyAgrum, with findings drawn at random.

The network is built here from the tree's events and `expect` alone, by the rule of the format: the nearest
named event above a cause speaks for it, else `otherwise`; what an entry leaves out is shared equally.
"""

from __future__ import annotations

import os
from importlib import import_module

import numpy as np
import pytest

from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import NOT_CURED, NOT_LISTED, TOP, Finding, Situation

# Where CI is set a missing library is a failure, elsewhere a reason to skip.
gum = import_module("pyagrum") if os.environ.get("CI") else pytest.importorskip("pyagrum")

LIBRARY = Library()


def parents(tree):
    """Each event's one parent; a tree whose events stand in several places is not for this check."""
    found = {}
    for event in tree.events.values():
        for below in event.inputs:
            assert below not in found, "an event that stands twice needs another check"
            found[below] = event.id
    return found


def entry(tree, check, cause, above):
    """What `expect` says for one cause, over all answers."""
    at = cause
    while at != TOP and at not in check.expect:
        at = above[at]
    said = check.expect.get(at) or check.expect.get("otherwise") or {}
    left = [answer for answer in check.answer_ids() if answer not in said]
    rest = (1 - sum(said.values())) / len(left) if left else 0.0
    row = [said.get(answer, rest) for answer in check.answer_ids()]
    return [weight / sum(row) for weight in row]


def network_posterior(tree, answers, failed):
    above = parents(tree)
    causes = [event.id for event in tree.causes()]
    shares = np.array([tree.events[cause].in_100 for cause in causes] + [tree.not_listed])
    network = gum.BayesNet(tree.id)
    hidden = network.add(gum.LabelizedVariable("cause", "", [*causes, NOT_LISTED]))
    network.cpt(hidden).fillWith((shares / shares.sum()).tolist())
    for id in answers:
        check = tree.checks[id]
        node = network.add(gum.LabelizedVariable(id, "", list(check.answer_ids())))
        network.addArc(hidden, node)
        rows = [entry(tree, check, cause, above) for cause in causes]
        same = all(row == pytest.approx(rows[0]) for row in rows)
        rows.append(rows[0] if same else [1 / len(check.answers)] * len(check.answers))
        for cause, row in zip([*causes, NOT_LISTED], rows, strict=True):
            network.cpt(node)[{"cause": cause}] = row
    for cause in failed:
        node = network.add(gum.LabelizedVariable(f"{cause}-tried", "", ["cured", "not-cured"]))
        network.addArc(hidden, node)
        for other in [*causes, NOT_LISTED]:
            cures = tree.events[cause].remedy.cures if other == cause else 0.0
            network.cpt(node)[{"cause": other}] = [cures, 1 - cures]
    inference = gum.LazyPropagation(network)
    inference.setEvidence(dict(answers) | {f"{cause}-tried": "not-cured" for cause in failed})
    inference.makeInference()
    return inference.posterior("cause").toarray()


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("id", LIBRARY.ids())
def test_findings_in_a_shipped_tree_give_the_librarys_posterior(id, seed):
    tree = LIBRARY.tree(id)
    rng = np.random.default_rng(seed)
    asked = [check for check in tree.checks.values() if rng.random() < 0.5]
    answers = {check.id: str(rng.choice(check.answer_ids())) for check in asked}
    doable = [e.id for e in tree.causes() if e.remedy is not None and e.remedy.kind == "do"]
    failed = [cause for cause in doable if rng.random() < 0.3]
    situation = Situation(
        findings={check: Finding(check, answer) for check, answer in answers.items()},
        tried=dict.fromkeys(failed, NOT_CURED),
    )
    found = posterior(build_model(tree, "technician"), situation)
    assert found == pytest.approx(network_posterior(tree, answers, failed), rel=1e-9, abs=1e-12)
