"""Draws that are made while somebody reads are those that the ranking would make itself."""

from __future__ import annotations

import pytest

from diagnose.reasoning import ranking as module
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import draw_ahead, ranking
from diagnose.terms import Finding, Situation
from tests.trees.shipped import TREES, model_of


def some_findings(model):
    checks = [each.check for each in model.checks if not each.first]
    return Situation({each.id: Finding(each.id, each.answer_ids()[0]) for each in checks[:3]})


@pytest.fixture
def fresh(monkeypatch):
    """The caches of draws emptied, and a count of the tables drawn."""
    drawn = []
    draw = module.log_dirichlet
    monkeypatch.setattr(module, "log_dirichlet", lambda *given: drawn.append(1) or draw(*given))
    module._drawn_prior.cache_clear()
    module._drawn_rows.cache_clear()
    return drawn


def test_a_ranking_after_drawing_ahead_draws_nothing_and_says_the_same(fresh):
    model = model_of(TREES[0])
    before = ranking(model, some_findings(model))
    draw_ahead(model, lambda: False)
    assert len(fresh) == 1 + len(model.pseudo_counts)
    assert ranking(model, some_findings(model)) == before
    assert len(fresh) == 1 + len(model.pseudo_counts)


def test_drawing_ahead_stops_when_it_is_given_up(fresh):
    model = build_model(model_of(TREES[0]).tree)
    draw_ahead(model, lambda: len(fresh) >= 3)
    assert len(fresh) == 3
