"""Log loss on fresh vehicles after so many confirmed cases: ours, and what else could be learned from them.

Rivals learn from the very same cases and are judged on the same fresh vehicles. Those that can be set several
ways are set the way that turns out best on the fresh vehicles themselves, which no user could know: the
comparison leans towards them.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean, stdev

import numpy as np
from sklearn.naive_bayes import CategoricalNB
from sklearn.tree import DecisionTreeClassifier

from diagnose.reasoning.model import build_model
from tests.reasoning.fleets import file_model, fleet, log_loss, posteriors, tree

STRAYS = {
    "little": {"share_strength": 60.0, "by_branch": 0.25, "by_cause": 0.15},
    "some": {"share_strength": 15.0, "by_branch": 0.6, "by_cause": 0.4},
    "much": {"share_strength": 5.0, "by_branch": 1.0, "by_cause": 0.8},
}
"""How far the truth is from the file."""
NUMBERS = (0, 20, 100, 500, 5000)
FRESH = 2000
METHODS = ("ours", "file", "counts", "tree", "bayes", "truth")


@dataclass(frozen=True)
class Curve:
    """Method -> number of cases -> log loss in each fleet."""

    losses: dict

    def mean(self, method, number):
        return fmean(self.losses[method][number])

    def behind(self, method, number):
        """By how much ours is worse than a rival, in standard errors over fleets (below 0: better)."""
        pairs = zip(self.losses["ours"][number], self.losses[method][number], strict=True)
        over = [mine - its for mine, its in pairs]
        error = stdev(over) / len(over) ** 0.5
        return fmean(over) / error if error > 1e-12 else 0.0 if abs(fmean(over)) < 1e-9 else np.inf


def curve(strays, fleets, numbers=NUMBERS, seed=1763):
    """The losses over a number of seeded fleets of one kind."""
    file, of_file = file_model(), tree()
    losses = {method: {number: [] for number in numbers} for method in METHODS}
    for at in range(fleets):
        rng = np.random.default_rng([seed, at])
        made = fleet(file, rng, **STRAYS[strays])
        causes, seen = made.vehicles(rng, max(numbers))
        fresh_causes, fresh = made.vehicles(rng, FRESH)
        for number in numbers:
            known, their = causes[:number], seen[:number]
            learned = build_model(of_file, tally=made.tally(known, their))
            by = {
                "ours": log_loss(posteriors(learned.prior, learned.rows, fresh), fresh_causes),
                "file": log_loss(posteriors(file.prior, file.rows, fresh), fresh_causes),
                "counts": by_counts(made, known, their, fresh, fresh_causes),
                "truth": log_loss(posteriors(made.shares, made.rows, fresh), fresh_causes),
                **by_library(made, known, their, fresh, fresh_causes),
            }
            for method, loss in by.items():
                losses[method][number].append(loss)
    return Curve(losses)


def by_counts(made, causes, seen, fresh, fresh_causes):
    """Shares and tables from counts alone, one added to each count (Laplace)."""
    size = len(made.ids)
    shares = np.bincount(causes, minlength=size) + 1.0
    rows = {}
    for column, (id, answers) in enumerate(made.answers.items()):
        counts = np.ones((size, len(answers)))
        told = seen[:, column] >= 0
        np.add.at(counts, (causes[told], seen[told, column]), 1)
        rows[id] = counts / counts.sum(axis=1, keepdims=True)
    return log_loss(posteriors(shares / shares.sum(), rows, fresh), fresh_causes)


def by_library(made, causes, seen, fresh, fresh_causes):
    """The best of several settings of a decision tree and of a naive Bayes, both scikit-learn's."""
    if not len(causes):
        none = float(np.log(len(made.ids)))
        return {"tree": none, "bayes": none}
    # *Not sure* is an answer of its own to them: 0, the others from 1.
    answers = [len(each) + 1 for each in made.answers.values()]
    trees = [DecisionTreeClassifier(min_samples_leaf=leaf, random_state=0) for leaf in (1, 3, 10, 30, 100)]
    bayes = [CategoricalNB(alpha=alpha, min_categories=answers) for alpha in (0.1, 0.3, 1.0)]

    def best(classifiers):
        losses = []
        for classifier in classifiers:
            classifier.fit(seen + 1, causes)
            shares = np.zeros((len(fresh), len(made.ids)))
            shares[:, classifier.classes_] = classifier.predict_proba(fresh + 1)
            # Neither knows of a cause that it never saw: a small part is kept for everything.
            for kept in (0.001, 0.01, 0.05, 0.2):
                losses.append(log_loss((1 - kept) * shares + kept / len(made.ids), fresh_causes))
        return min(losses)

    return {"tree": best(trees), "bayes": best(bayes)}
