"""Intervals hold what they should, and cost the same however many cases stand behind them.

Simulation-based calibration in its simplest form: truths drawn from the prior itself, so that a 90 % interval
has to hold the truth in 90 of 100 (Cook, Gelman & Rubin 2006, from memory).
"""

from __future__ import annotations

import sys
from collections import Counter
from functools import cache

import numpy as np
import pytest

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import drawn_shares, ranking
from diagnose.terms import Finding, Situation, Tally
from tests.reasoning.documented import shows
from tests.reasoning.fleets import Fleet, file_model, posteriors, tree


def from_the_prior(file, rng):
    """A fleet drawn from what the file says: its shares at its strength, its tables at theirs."""
    return Fleet(
        ids=file.ids,
        answers={id: file.tree.checks[id].answer_ids() for id in file.rows},
        shares=rng.dirichlet(file.alpha),
        rows={
            id: np.array([rng.dirichlet(row) for row in pseudo]) for id, pseudo in file.pseudo_counts.items()
        },
    )


@cache
def coverage(fleets, number, asked=()):
    """How often the 90 % interval holds the true share after so many cases and the answers to some checks.

    The true share is that of the vehicles of the fleet that give the same answers.
    """
    file, of_file = file_model(), tree()
    held = []
    for at in range(fleets):
        rng = np.random.default_rng([90, number, at])
        made = from_the_prior(file, rng)
        causes, seen = made.vehicles(rng, number)
        model = build_model(of_file, tally=made.tally(causes, seen)) if number else file
        line = made.vehicles(rng, 1, not_sure=0.0)[1]
        findings = {
            id: Finding(id, made.answers[id][line[0, column]])
            for column, id in enumerate(made.answers)
            if id in asked
        }
        drawn = drawn_shares(model, Situation(findings=findings), 1000)
        low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
        told = np.array(
            [[each if id in asked else -1 for id, each in zip(made.answers, line[0], strict=True)]]
        )
        truth = posteriors(made.shares, made.rows, told)[0]
        held.append((low <= truth) & (truth <= high))
    return float(np.mean(held))


@pytest.mark.parametrize(
    ("number", "asked"), [(0, ()), (30, ()), (0, ("hum", "volts")), (30, ("hum", "volts"))]
)
def test_intervals_hold_the_true_share_in_some_ninety_of_a_hundred_fleets(number, asked):
    """150 fleets, ten shares each; one standard error is under 2 %."""
    assert 0.84 <= coverage(150, number, asked) <= 0.96


@pytest.mark.long
@pytest.mark.timeout(600)
@pytest.mark.parametrize(("number", "asked"), [(100, ()), (0, ("hum", "volts"))])
def test_intervals_hold_the_true_share_in_ninety_of_a_hundred_of_a_thousand_fleets(number, asked):
    assert 0.87 <= coverage(1000, number, asked) <= 0.93


@pytest.mark.long
@pytest.mark.timeout(900)
def test_the_document_shows_how_often_intervals_hold_the_true_share():
    lines = [
        (number, " and ".join(asked) or "nothing", f"{coverage(1000, number, asked):.3f}")
        for number in (0, 100)
        for asked in ((), ("hum", "volts"))
    ]
    shows("coverage", ("cases", "answers", "held"), lines, within=0.01)


def of_so_many(number):
    """A tally of so many cases over all causes and answers."""
    file = file_model()
    causes = {id: number * float(share) for id, share in zip(file.ids, file.prior, strict=True)}
    answers = {
        (id, check, answer): causes[id] * float(rows[at, column])
        for check, rows in file.rows.items()
        for at, id in enumerate(file.ids)
        for column, answer in enumerate(file.tree.checks[check].answer_ids())
    }
    return Tally(causes, answers)


def calls_of(deed):
    """How often each function is called, those of the interpreter's own in C included."""
    calls = Counter()

    def note(frame, event, argument):
        if event in ("call", "c_call"):
            name = argument.__qualname__ if event == "c_call" else frame.f_code.co_name
            calls[name] += 1

    sys.setprofile(note)
    try:
        deed()
    finally:
        sys.setprofile(None)
    return calls


def test_a_ranking_takes_the_same_work_after_a_thousand_and_after_a_million_cases():
    """Counted in calls, not in seconds; the arrays have the same sizes too."""
    of_file, findings = tree(), Situation(findings={"hum": Finding("hum", "no")})
    few, many = of_so_many(1_000), of_so_many(1_000_000)
    assert few.causes.keys() == many.causes.keys()

    def rank(tally):
        ranking(build_model(of_file, tally=tally), findings)

    rank(few)  # what is done once only
    first, second = calls_of(lambda: rank(few)), calls_of(lambda: rank(many))
    assert first == second
    assert first["ranking"] == 1
    small, large = build_model(of_file, tally=few), build_model(of_file, tally=many)
    assert small.alpha.shape == large.alpha.shape
    assert all(small.rows[id].shape == large.rows[id].shape for id in small.rows)
