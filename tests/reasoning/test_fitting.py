"""Whether findings fit: laws of surprise and conflict, and how the two behave on the shipped trees."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from diagnose.reasoning.fitting import CONFLICTING, conflict, doubts, pairs, surprise
from diagnose.reasoning.model import build_model
from diagnose.terms import NOT_LISTED, NOT_SURE, Finding, Situation
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, check, faults, model_of
from tests.reasoning.made_up_trees import made_up
from tests.reasoning.simulated import walks_of
from tests.trees.shipped import TREES, route_of
from tests.trees.shipped import model_of as shipped_model

DOCUMENT = Path(__file__).resolve().parent.parent.parent / "docs" / "arithmetic.md"


def answered(**answers):
    return Situation({id.replace("_", "-"): Finding(id.replace("_", "-"), a) for id, a in answers.items()})


def two_sided():
    """Two causes that show opposite pictures in two looks, a rare one that shows a mixed one."""
    return model_of(
        faults(left=cause(48), right=cause(48), odd=cause(1)),
        {
            "first": check(expect={"left": {"one": 0.98}, "right": {"one": 0.02}, "odd": {"one": 0.98}}),
            "second": check(expect={"left": {"one": 0.98}, "right": {"one": 0.02}, "odd": {"one": 0.02}}),
            "level": check(expect={"otherwise": {"one": 0.98}}),
        },
        not_listed=1,
    )


def test_answers_that_no_common_cause_gives_are_surprising_and_in_conflict():
    model = two_sided()
    at_odds = answered(first="one", second="two")
    assert surprise(model, at_odds) < 0.1
    assert conflict(model, at_odds) > CONFLICTING
    agreeing = answered(first="one", second="one")
    assert surprise(model, agreeing) > 0.5
    assert conflict(model, agreeing) < 0


def test_the_rare_cause_that_would_explain_a_conflict_is_named():
    (pair,) = pairs(two_sided(), answered(first="one", second="two"))
    assert pair.explained_by == "odd"


def test_where_no_listed_cause_explains_it_what_is_not_listed_does():
    (pair,) = pairs(two_sided(), answered(first="two", second="one"))
    assert pair.explained_by == NOT_LISTED


def test_of_several_pairs_the_one_with_the_largest_value_stands_first():
    model = model_of(
        faults(left=cause(48), right=cause(48)),
        {
            "first": check(expect={"left": {"one": 0.98}, "right": {"one": 0.02}}),
            "vague": check(expect={"left": {"one": 0.6}, "right": {"one": 0.4}}),
            "second": check(expect={"left": {"one": 0.98}, "right": {"one": 0.02}}),
        },
    )
    found = pairs(model, answered(first="one", vague="two", second="two"))
    assert (found[0].first, found[0].second) == ("first", "second")
    assert sorted((each.bits for each in found), reverse=True) == [each.bits for each in found]


def test_not_sure_and_what_tells_no_cause_apart_are_left_out():
    model = two_sided()
    assert surprise(model, answered(level="two")) == 1.0
    assert conflict(model, answered(level="two", first="one")) == 0.0
    assert surprise(model, answered(first=NOT_SURE)) == 1.0
    with_them = answered(first="one", second="two", level="two")
    assert surprise(model, with_them) == surprise(model, answered(first="one", second="two"))


def test_the_order_in_which_things_were_found_plays_no_part():
    model = two_sided()
    one = answered(first="one", second="two", level="one")
    other = answered(level="one", second="two", first="one")
    assert surprise(model, one) == surprise(model, other)
    assert pairs(model, one) == pairs(model, other)


def test_drawn_vectors_agree_with_counting_them_all():
    model = shipped_model("water-pump")
    rng = np.random.default_rng(3)
    for _ in range(10):
        chosen = rng.choice([t.check.id for t in model.checks if not t.first], 5, replace=False)
        found = {id: Finding(id, str(rng.choice(model.tree.checks[id].answer_ids()))) for id in chosen}
        counted, drawn = surprise(model, Situation(found)), surprise(model, Situation(found), most=1)
        # Four standard errors of a share over 2000 draws.
        assert drawn == pytest.approx(counted, abs=4 * (counted * (1 - counted) / 2000) ** 0.5 + 1e-3)
        assert drawn == surprise(model, Situation(found), most=1), "the draws are seeded"


def test_a_reading_on_a_border_enters_by_the_band_that_holds_it():
    model = build_model(worked_tree())
    hum = Finding("hum", "yes")
    for value, band in ((11.9, "low"), (12.4, "good"), (11.89, "flat"), (0.0, "flat"), (16.0, "good")):
        read = Situation({"hum": hum, "volts": Finding("volts", band, value, 0.05)})
        said = Situation({"hum": hum, "volts": Finding("volts", band)})
        assert surprise(model, read) == surprise(model, said), value


@pytest.mark.parametrize("seed", range(40))
def test_any_findings_in_any_tree_have_a_surprise_that_is_a_chance(seed):
    model = build_model(made_up(seed))
    rng = np.random.default_rng(seed)
    found = {
        t.check.id: Finding(t.check.id, str(rng.choice(t.check.answer_ids())))
        for t in model.checks
        if rng.random() < 0.8
    }
    assert 0.0 <= surprise(model, Situation(found)) <= 1.0
    for each in pairs(model, Situation(found)):
        assert each.explained_by is None or each.explained_by in model.ids
        assert not np.isnan(each.bits)


HONEST = 300
"""Simulated walks of each tree whose cause and answers are drawn from the tree itself."""


def noticed(id, walks, wrong=None):
    """The share of walks in which something is told before a conclusion."""
    model, route = shipped_model(id), route_of(id)
    told, known = 0, {}
    for situations in walks_of(model, route, seed=5, walks=walks, wrong=wrong):
        keys = []
        for situation in situations:
            key = tuple((each.check, each.answer) for each in situation.findings.values())
            if key not in known:
                found = doubts(model, situation)
                known[key] = bool(found.pairs) or found.surprising
            keys.append(key)
        told += any(known[key] for key in keys)
    return told / walks


def written():
    """The document's table: tree -> (honest answers, first answer mistaken)."""
    text = DOCUMENT.read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([a-z-]+) \| ([0-9.]+) % \| ([0-9.]+) % \|$", text, re.MULTILINE)
    return {id: (float(honest) / 100, float(mistaken) / 100) for id, honest, mistaken in rows}


@pytest.mark.parametrize("id", TREES)
def test_honest_answers_seldom_bring_a_notice_as_the_document_tells(id):
    told = written()[id][0]
    assert told < 0.07
    # Four standard errors of so few walks.
    assert noticed(id, HONEST) == pytest.approx(told, abs=4 * (told * (1 - told) / HONEST) ** 0.5)


@pytest.mark.long
@pytest.mark.parametrize("id", TREES)
def test_how_often_notices_come_is_what_the_document_tells(id):
    assert set(written()) == set(TREES)
    for at, wrong in enumerate((None, 0)):
        assert noticed(id, 4000, wrong) == pytest.approx(written()[id][at], abs=0.03)
