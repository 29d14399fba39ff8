"""Posteriors of published diagnosis networks: this project's arithmetic against exact inference.

- asia: Lauritzen & Spiegelhalter, Local computations with probabilities on graphical structures and their
  application to expert systems, Journal of the Royal Statistical Society B, 1988 (chest clinic);
- cancer, earthquake: Korb & Nicholson, Bayesian Artificial Intelligence, 2004 and 2010.

All three come with the package `pgmpy-no-torch` (see networks.py); papers and books are cited from memory.
Exact inference is pyAgrum's.
"""

from __future__ import annotations

from itertools import product

import pytest

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import NOT_SURE, Finding, Situation
from tests.published.networks import as_tree, inference, labels, published, word

NETWORKS = {
    # `either` says whether one of the two is present; states in which it says otherwise cannot be.
    "asia": (("tub", "lung", "either", "bronc"), ("asia", "smoke", "xray", "dysp")),
    "cancer": (("Cancer",), ("Xray", "Dyspnoea")),
    "earthquake": (("Burglary", "Earthquake", "Alarm"), ("JohnCalls", "MaryCalls")),
}


@pytest.mark.parametrize("name", NETWORKS)
def test_every_combination_of_findings_gives_the_exact_posterior(name, tmp_path):
    hidden, findings = NETWORKS[name]
    network = published(name, tmp_path)
    tree, listed = as_tree(network, hidden, findings)
    model = build_model(tree)
    compared = 0
    # None stands for a finding that nobody could make.
    for answers in product(*([None, *labels(network, each)] for each in findings)):
        evidence = {f: a for f, a in zip(findings, answers, strict=True) if a is not None}
        found = posterior(
            model,
            Situation(
                {
                    word(f): Finding(word(f), NOT_SURE if a is None else word(a))
                    for f, a in zip(findings, answers, strict=True)
                }
            ),
        )[:-1]
        shares = found / found.sum()
        exact = inference(network, evidence)
        for variable in hidden:
            for label in labels(network, variable):
                mine = sum(s for s, state in zip(shares, listed, strict=True) if state[variable] == label)
                theirs = exact.posterior(variable)[{variable: label}]
                assert mine == pytest.approx(theirs, abs=1e-9), (evidence, variable, label)
                compared += 1
    assert compared == 3 ** len(findings) * sum(len(labels(network, each)) for each in hidden)


def test_the_shares_without_findings_are_those_of_the_chest_clinic(tmp_path):
    # Lauritzen & Spiegelhalter 1988: tuberculosis 1.04 %, lung cancer 5.5 %, bronchitis 45 %.
    tree, listed = as_tree(published("asia", tmp_path), *NETWORKS["asia"])
    shares = posterior(build_model(tree), Situation())[:-1]
    shares /= shares.sum()
    for illness, printed in (("tub", 0.0104), ("lung", 0.055), ("bronc", 0.45)):
        mine = sum(s for s, state in zip(shares, listed, strict=True) if state[illness] == "yes")
        # The library reads a file's numbers with single precision.
        assert mine == pytest.approx(printed, abs=1e-7)


def test_findings_that_the_hidden_causes_do_not_separate_are_refused(tmp_path):
    # An X-ray and breathlessness hang together by tuberculosis and cancer, whatever the bronchi do.
    with pytest.raises(AssertionError, match="xray and dysp are not separated"):
        as_tree(published("asia", tmp_path), ("bronc",), ("xray", "dysp"))
