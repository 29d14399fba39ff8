"""Exercises on shipped trees: the route loses nothing, forbidden acts are offered, paper has two pages."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from diagnose.drawing.exercise_sheet import exercise_pdf
from diagnose.knowledge.collection import Library
from diagnose.practising.exercise import Exercise
from diagnose.practising.hiding import fault_by_share
from diagnose.practising.paper import on_paper
from diagnose.practising.practice import Practice, best_of
from diagnose.practising.result_code import read_result, result_code
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_for
from diagnose.walking.stops import tree_hazards

pytestmark = pytest.mark.long
SMALL = ("alarm-sounded-earlier", "hob-hisses-on", "hook-up-trips", "mouse-signs", "tyres-soft-old")
"""Those whose routes are soon compiled."""


@pytest.fixture(scope="module", params=SMALL)
def made(request):
    library = Library()
    model = build_model(library.tree(request.param), other_trees=frozenset(library.ids()))
    return model, route_for(model, Path(os.environ["ROUTES_OF_THIS_RUN"]))


def test_the_route_loses_nothing_and_its_result_is_read_back(made):
    model, route = made
    for seed in range(20):
        best = best_of(Exercise(model, seed, fault_by_share(model, seed)), route)
        assert all(turn.worth.regret <= 1e-9 for turn in best.turns if turn.worth is not None)
        assert not any(turn.marks for turn in best.turns)
        again = read_result(result_code(best), lambda _tag, _role: (model, route, {}))
        assert (again.spent(), again.over) == (best.spent(), best.over)


def test_forbidden_acts_fit_the_hazards_and_the_paper_has_two_pages(made):
    model, route = made
    for seed in (1, 2):
        each = Practice(Exercise(model, seed, fault_by_share(model, seed)), route)
        traps = [choice.trap for choice in each.choices if choice.trap is not None]
        assert traps
        assert all(trap.hazards & tree_hazards(model.tree) for trap in traps)
        assert len(PdfReader(BytesIO(exercise_pdf(on_paper(each)))).pages) == 2
