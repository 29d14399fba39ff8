"""Simulated fleets: vehicles whose faults and answers follow shares and tables that differ from a file's.

A fleet's truth strays from the file in three ways at once: its shares are drawn about the file's, every
branch of the fault tree leads to other answers than the file says (all of its causes alike), and so does
every cause by itself. The same seed gives the same fleet, vehicle by vehicle.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from diagnose.reasoning.model import build_model
from diagnose.terms import Tally
from tests.reasoning.by_hand import cause, check, content_of, faults, gate
from tests.reasoning.made_up_trees import read

NOT_SURE = -1


def _check(answers, **expect):
    return check(answers={each: each.capitalize() for each in answers}, expect=expect)


def tree():
    """Nine causes in three branches and one beside them, six checks of two or three answers."""
    return read(
        content_of(
            faults(
                supply=gate("any_of", flat=cause(20), fuse=cause(15), switch=cause(6)),
                water=gate("any_of", empty=cause(14), air=cause(9), pipe=cause(4)),
                device=gate("any_of", pump=cause(12), sensor=cause(7)),
                panel=cause(8),
            ),
            {
                "volts": _check(
                    ("flat", "low", "good"),
                    flat={"flat": 0.75, "low": 0.2},
                    supply={"low": "fifty-fifty", "good": "uncertain"},
                    otherwise={"good": "probable"},
                ),
                "hum": _check(
                    ("yes", "no"),
                    supply={"no": "almost certain"},
                    water={"yes": "probable"},
                    pump={"yes": "uncertain"},
                ),
                "lamp": _check(
                    ("on", "off", "blinks"),
                    supply={"off": "expected"},
                    panel={"off": "fifty-fifty", "blinks": "uncertain"},
                    otherwise={"on": "probable"},
                ),
                "gauge": _check(
                    ("none", "half", "full"),
                    empty={"none": "probable"},
                    sensor={"none": "expected"},
                    otherwise={"half": 0.45, "full": 0.45},
                ),
                "drops": _check(("yes", "no"), pipe={"yes": "probable"}, otherwise={"no": "probable"}),
                "other-tap": _check(
                    ("runs", "spits", "dry"),
                    air={"spits": "probable"},
                    pipe={"runs": "expected"},
                    otherwise={"dry": "probable"},
                ),
            },
        ),
        "fleet",
    )


@dataclass(frozen=True)
class Fleet:
    """What is truly the matter how often, and what is truly seen then."""

    ids: tuple
    answers: dict
    """Check -> its answers."""
    shares: np.ndarray
    rows: dict = field(default_factory=dict)
    """Check -> causes by answers."""

    def vehicles(self, rng, number, not_sure=0.05):
        """Vehicles of the fleet: the cause of each, and its answers (one column for each check)."""
        causes = rng.choice(len(self.ids), size=number, p=self.shares)
        columns = []
        for rows in self.rows.values():
            seen = (rng.random(number)[:, None] > rows[causes].cumsum(axis=1)[:, :-1]).sum(axis=1)
            columns.append(np.where(rng.random(number) < not_sure, NOT_SURE, seen))
        return causes, np.array(columns).T

    def tally(self, causes, seen):
        """The sums over these vehicles, all of them confirmed."""
        counts = np.bincount(causes, minlength=len(self.ids))
        answers = {}
        for column, (id, possible) in enumerate(self.answers.items()):
            for at, answer in enumerate(possible):
                of_cause = np.bincount(causes[seen[:, column] == at], minlength=len(self.ids))
                answers |= {(h, id, answer): float(n) for h, n in zip(self.ids, of_cause, strict=True) if n}
        return Tally({h: float(n) for h, n in zip(self.ids, counts, strict=True) if n}, answers)


def fleet(file, rng, share_strength=15.0, by_branch=0.6, by_cause=0.4):
    """A fleet whose truth strays from the file's model: shares by a Dirichlet, tables by logs of odds."""
    branch_of = [
        file.tree.events[each.causes[0]].chain[:1] if len(each.causes) == 1 else ()
        for each in file.hypotheses
    ]
    rows = {}
    for id, table in file.rows.items():
        of_branch = {each: rng.normal(0, by_branch, table.shape[1]) for each in sorted(set(branch_of))}
        moved = np.array([of_branch[each] for each in branch_of]) + rng.normal(0, by_cause, table.shape)
        strayed = table * np.exp(moved)
        rows[id] = strayed / strayed.sum(axis=1, keepdims=True)
    return Fleet(
        ids=file.ids,
        answers={id: file.tree.checks[id].answer_ids() for id in file.rows},
        shares=rng.dirichlet(share_strength * file.prior),
        rows=rows,
    )


def posteriors(shares, rows, seen):
    """Shares after the answers, one line for each vehicle: Bayes's rule written out."""
    logs = np.log(np.maximum(shares, 1e-300)) + np.zeros((len(seen), 1))
    for column, table in enumerate(rows.values()):
        told = seen[:, column] != NOT_SURE
        logs[told] += np.log(table.T[seen[told, column]])
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))
    return weights / weights.sum(axis=1, keepdims=True)


def log_loss(shares, causes):
    """Mean -ln of the true cause's share (Good 1952)."""
    return float(-np.log(np.maximum(shares[np.arange(len(causes)), causes], 1e-300)).mean())


def file_model():
    """The model of the tree as its file says."""
    return build_model(tree())
