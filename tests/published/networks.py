"""Published diagnosis networks as trees of this project.

The networks are data files of the package `pgmpy-no-torch` on the Python Package Index (MIT licence), in
`pgmpy/utils/example_models/`; they are read here with pyAgrum, and nothing of the package itself is imported.

A tree holds that one hypothesis is true and that findings are independent of each other once it is known. A
network may hold several causes at once. So each *joint state* of some hidden variables becomes one cause, its
`in_100` being 100 times the chance of that state, and each finding becomes a check. That is exact, no
approximation, as long as the hidden variables separate every two findings, which is asked of the network
itself. What is not listed has no counterpart there; shares are compared with it left out.
"""

from __future__ import annotations

import gzip
import os
from importlib import import_module, metadata
from itertools import combinations, product

import pytest

from tests.reasoning.made_up_trees import read

# Where CI is set a missing library is a failure, elsewhere a reason to skip.
gum = import_module("pyagrum") if os.environ.get("CI") else pytest.importorskip("pyagrum")

PACKAGE = "pgmpy-no-torch"


def published(name, folder):
    """The network of that name; skips with a reason where the package is missing, and fails under CI."""
    try:
        files = metadata.distribution(PACKAGE)
    except metadata.PackageNotFoundError:
        reason = f"the package {PACKAGE}, which carries the network {name}, is not installed"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    packed = files.locate_file(f"pgmpy/utils/example_models/{name}.bif.gz")
    path = folder / f"{name}.bif"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    return gum.loadBN(str(path))


def labels(network, variable):
    return list(network.variable(variable).labels())


def states(network, hidden):
    """Every joint state that can be, as label by variable, with its chance."""
    found = []
    for chosen in product(*(labels(network, each) for each in hidden)):
        state = dict(zip(hidden, chosen, strict=True))
        exact = gum.LazyPropagation(network)
        exact.setEvidence(state)
        chance = exact.evidenceProbability()
        if chance > 0:
            found.append((state, chance))
    return found


def inference(network, evidence):
    exact = gum.LazyPropagation(network)
    exact.setEvidence(evidence)
    exact.makeInference()
    return exact


def word(text):
    """A label or a variable as an id of a tree."""
    return text.lower()


def as_tree(network, hidden, findings):
    """The network's diagnosis part as a tree, and the joint states in the order of its causes."""
    for one, other in combinations(findings, 2):
        assert network.isIndependent(one, other, list(hidden)), f"{one} and {other} are not separated"
    listed = states(network, hidden)
    causes = {
        f"state-{n}": {
            "says": ", ".join(f"{variable} {label}" for variable, label in state.items()),
            "hazard": "none",
            "in_100": 100 * chance,
            "remedy": {"refer": "workshop"},
        }
        for n, (state, chance) in enumerate(listed)
    }
    checks = {
        word(finding): {
            "ask": f"What about {finding}?",
            "hands": "look",
            "by": "owner",
            "minutes": 1,
            "answers": {word(label): label for label in labels(network, finding)},
            "expect": {
                f"state-{n}": dict(
                    zip(
                        map(word, labels(network, finding)),
                        inference(network, state).posterior(finding).tolist(),
                        strict=True,
                    )
                )
                for n, (state, _) in enumerate(listed)
            },
        }
        for finding in findings
    }
    tree = {
        "symptom": "Somebody wants to know what it is",
        "system": "water",
        "refer_to": "workshop",
        "cured_when": {"ask": "Is it well?"},
        "faults": {"any_of": causes},
        "checks": checks,
    }
    return read(tree, "published"), [state for state, _ in listed]
