"""Whether findings fit the worked tree: surprise and conflict, in figures and against a library.

Sources, from memory: Box, Sampling and Bayes' inference in scientific modelling and robustness, Journal of
the Royal Statistical Society A, 1980 (prior predictive check); Jensen, Chamond, Nordby & Nielsen, Analysis
in HUGIN of data conflict, 1990. Figures worked by a separate plain implementation; chances of findings also
by pyAgrum's `evidenceProbability`.
"""

from __future__ import annotations

import os
from dataclasses import replace
from importlib import import_module
from itertools import product
from math import log2

import numpy as np
import pytest

from diagnose.reasoning.fitting import conflict, pairs, surprise
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import NOT_LISTED, Finding, Situation

# Where CI is set a missing library is a failure, elsewhere a reason to skip.
gum = import_module("pyagrum") if os.environ.get("CI") else pytest.importorskip("pyagrum")


def found(hum, volts):
    return Situation({"hum": Finding("hum", hum), "volts": Finding("volts", volts)})


def network(model, ids):
    """One hidden node and a node a check, from the model's own tables."""
    net = gum.BayesNet("fit")
    hidden = net.add(gum.LabelizedVariable("cause", "", list(model.ids)))
    net.cpt(hidden).fillWith(model.prior.tolist())
    for id in ids:
        node = net.add(gum.LabelizedVariable(id, "", list(model.tree.checks[id].answer_ids())))
        net.addArc(hidden, node)
        for at, cause in enumerate(model.ids):
            net.cpt(node)[{"cause": cause}] = model.rows[id][at].tolist()
    return net


def chance(net, evidence):
    inference = gum.LazyPropagation(net)
    inference.setEvidence(evidence)
    return inference.evidenceProbability()


def test_the_worked_surprise_comes_out(tree):
    model = build_model(tree)
    assert surprise(model, found("yes", "flat")) == pytest.approx(0.0451, abs=5e-5)
    # The likeliest of the six vectors: everything else is less likely.
    assert surprise(model, found("no", "good")) == pytest.approx(1.0, abs=1e-12)


def test_what_is_not_listed_rises_as_worked_out(tree):
    assert posterior(build_model(tree), found("yes", "flat"))[-1] == pytest.approx(0.1848, abs=5e-5)


@pytest.mark.parametrize(
    ("hum", "volts", "bits"), [("yes", "flat", 0.6426), ("no", "flat", -0.3253), ("no", "low", -0.0855)]
)
def test_the_worked_conflicts_come_out(tree, hum, volts, bits):
    model = build_model(tree)
    assert conflict(model, found(hum, volts)) == pytest.approx(bits, abs=5e-5)
    (pair,) = pairs(model, found(hum, volts))
    assert (pair.first, pair.second, pair.bits) == ("hum", "volts", pytest.approx(bits, abs=5e-5))


def test_only_what_is_not_listed_would_explain_the_worked_conflict(tree):
    # Worked by hand: hearing a hum at a flat battery raises not-listed from .05 to .1848, 1.89 bits, more
    # than the .64 bits of the conflict; the best listed cause (pipe, .20 to .2828) rises by .50 bits.
    (pair,) = pairs(build_model(tree), found("yes", "flat"))
    assert pair.explained_by == NOT_LISTED


@pytest.mark.parametrize("seed", range(10))
def test_surprise_and_conflict_are_those_of_the_librarys_chances(tree, seed):
    rng = np.random.default_rng(seed)
    drawn = {
        id: replace(
            check,
            expect={
                cause: dict(
                    zip(check.answer_ids(), rng.dirichlet(np.ones(len(check.answers))).tolist(), strict=True)
                )
                for cause in ("fuse", "pump", "pipe", "tank")
            },
        )
        for id, check in tree.checks.items()
    }
    model = build_model(replace(tree, checks=drawn))
    net = network(model, ("hum", "volts"))
    every = {
        (hum, volts): chance(net, {"hum": hum, "volts": volts})
        for hum, volts in product(("yes", "no"), ("flat", "low", "good"))
    }
    for (hum, volts), seen in every.items():
        p = sum(each for each in every.values() if each <= seen * (1 + 1e-9))
        assert surprise(model, found(hum, volts)) == pytest.approx(p, abs=1e-9)
        bits = log2(chance(net, {"hum": hum}) * chance(net, {"volts": volts}) / seen)
        assert conflict(model, found(hum, volts)) == pytest.approx(bits, abs=1e-9)
