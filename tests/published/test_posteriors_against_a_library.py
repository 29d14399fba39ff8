"""Posteriors against pyAgrum, a library for Bayesian networks that knows nothing of this project.

The network that it is given has one hidden node (which cause it is), one node a check and one a remedy tried;
a reading enters as virtual evidence on its check's node (Pearl 1988), the weights being those of scipy's
normal distribution.
"""

from __future__ import annotations

import os
from dataclasses import replace
from importlib import import_module

import numpy as np
import pytest
from scipy import stats

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Situation

# Where CI is set a missing library is a failure, elsewhere a reason to skip.
gum = import_module("pyagrum") if os.environ.get("CI") else pytest.importorskip("pyagrum")

CAUSES = ("fuse", "pump", "pipe", "tank")


def random_tree(tree, rng):
    """The worked tree with shares, expectations and chances of a cure drawn anew."""
    events = dict(tree.events)
    for cause in CAUSES:
        event = events[cause]
        assert event.remedy is not None
        remedy = replace(event.remedy, cures=float(rng.uniform(0.3, 0.99)))
        events[cause] = replace(event, in_100=float(rng.uniform(1, 40)), remedy=remedy)
    checks = {
        id: replace(
            check,
            expect={
                cause: dict(
                    zip(check.answer_ids(), rng.dirichlet(np.ones(len(check.answers))).tolist(), strict=True)
                )
                for cause in CAUSES
            },
        )
        for id, check in tree.checks.items()
    }
    return replace(tree, events=events, checks=checks)


def network_posterior(tree, hard, reading, failed):
    """The library's answer, from the tree's own figures alone."""
    shares = np.array([tree.events[cause].in_100 for cause in CAUSES] + [tree.not_listed])
    network = gum.BayesNet("walk")
    hidden = network.add(gum.LabelizedVariable("cause", "", [*CAUSES, "not-listed"]))
    network.cpt(hidden).fillWith((shares / shares.sum()).tolist())
    for id, check in tree.checks.items():
        node = network.add(gum.LabelizedVariable(id, "", list(check.answer_ids())))
        network.addArc(hidden, node)
        even = 1 / len(check.answers)
        for cause in CAUSES:
            network.cpt(node)[{"cause": cause}] = [check.expect[cause][a] for a in check.answer_ids()]
        network.cpt(node)[{"cause": "not-listed"}] = [even] * len(check.answers)
    for cause in failed:
        node = network.add(gum.LabelizedVariable(f"{cause}-mended", "", ["cured", "not-cured"]))
        network.addArc(hidden, node)
        for other in (*CAUSES, "not-listed"):
            cures = tree.events[cause].remedy.cures if other == cause else 0.0
            network.cpt(node)[{"cause": other}] = [cures, 1 - cures]
    inference = gum.LazyPropagation(network)
    inference.setEvidence(dict(hard) | {f"{cause}-mended": "not-cured" for cause in failed})
    if reading is not None:
        value, uncertainty = reading
        normal = stats.norm(value, uncertainty)
        weights = [
            (normal.cdf(b.high) - normal.cdf(b.low)) / (b.high - b.low) for b in tree.checks["volts"].bands
        ]
        inference.addEvidence("volts", weights)
    inference.makeInference()
    return inference.posterior("cause").toarray()


@pytest.mark.parametrize("seed", range(20))
def test_answers_readings_and_failed_remedies_give_the_librarys_posterior(tree, seed):
    rng = np.random.default_rng(seed)
    drawn = random_tree(tree, rng)
    hum = str(rng.choice(["yes", "no"]))
    value = float(rng.uniform(11.7, 12.6))
    band = next(b.id for b in drawn.checks["volts"].bands if b.low <= value < b.high)
    failed = [cause for cause in CAUSES if rng.random() < 0.4]
    situation = Situation(
        findings={"hum": Finding("hum", hum), "volts": Finding("volts", band, value, 0.05)},
        tried=dict.fromkeys(failed, NOT_CURED),
    )
    expected = network_posterior(drawn, {"hum": hum}, (value, 0.05), failed)
    assert posterior(build_model(drawn), situation) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_not_sure_and_could_not_say_nothing(tree):
    drawn = random_tree(tree, np.random.default_rng(99))
    situation = Situation(
        findings={"hum": Finding("hum", NOT_SURE), "volts": Finding("volts", "low")},
        tried={"pump": COULD_NOT},
    )
    expected = network_posterior(drawn, {"volts": "low"}, None, [])
    assert posterior(build_model(drawn), situation) == pytest.approx(expected, rel=1e-9, abs=1e-12)
