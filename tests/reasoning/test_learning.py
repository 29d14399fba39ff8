"""How confirmed cases move expectations, written out once more, and what the drawn intervals keep to.

Siblings' lift: empirical Bayes, cf. Gelman et al., Bayesian Data Analysis, ch. 5 (from memory).
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Finding, Settings, Situation, Tally
from tests.reasoning.by_hand import cause, faults, gate, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.plain_bayes import plainly

E = 10.0


def learned(file_rows, counts, siblings, leaf, e=E, exponent=0.7):
    """The row of one leaf: first moved by what its siblings showed, then by its own cases."""
    answers = range(len(file_rows[leaf]))
    seen = [sum(counts[j][a] for j in siblings if j != leaf) for a in answers]
    thought = [sum(sum(counts[j]) * file_rows[j][a] for j in siblings if j != leaf) for a in answers]
    mean = [sum(file_rows[j][a] for j in siblings) / len(siblings) for a in answers]
    lift = [(seen[a] + e * mean[a]) / (thought[a] + e * mean[a]) for a in answers]
    moved = [file_rows[leaf][a] * lift[a] ** exponent for a in answers]
    row = [each / sum(moved) for each in moved]
    return [(e * row[a] + counts[leaf][a]) / (e + sum(counts[leaf])) for a in answers]


CHECK = {
    "look": {
        "ask": "What?",
        "hands": "look",
        "by": "owner",
        "minutes": 1,
        "answers": {"one": "1", "two": "2", "three": "3"},
        "expect": {
            "a": {"one": 0.25, "two": 0.25, "three": 0.5},
            "b": {"one": 0.125, "two": 0.75, "three": 0.125},
            "pair": {"one": 0.3, "two": 0.6, "three": 0.1},
            "otherwise": {"three": 0.9},
        },
    }
}
TREE = faults(
    branch=gate("any_of", a=cause(20), b=cause(20), twig=gate("any_of", c=cause(10), d=cause(10))),
    pair=gate("all_of", 15, f=cause(), g=cause()),
    h=cause(10),
)
IDS = ["a", "b", "c", "d", "f+g", "h", "not-listed"]
COUNTS = {
    "a": (1, 0, 4),
    "b": (1, 2, 9),
    "c": (3, 0, 0),
    "d": (0, 0, 2),
    "f+g": (5, 1, 0),
    "h": (0, 2, 0),
    "not-listed": (1, 1, 2),
}


def told(counts):
    answers = {
        (id, "look", answer): float(number)
        for id, row in counts.items()
        for answer, number in zip(("one", "two", "three"), row, strict=True)
    }
    return Tally(causes={id: float(sum(row)) for id, row in counts.items()}, answers=answers)


def with_cases(tally, settings=None):
    tree = model_of(TREE, CHECK).tree
    return build_model(tree, "owner", settings or Settings(), tally)


def test_cases_of_siblings_lift_a_row_and_its_own_cases_settle_it():
    before, after = with_cases(Tally()), with_cases(told(COUNTS))
    file_rows = before.rows["look"].tolist()
    counts = [COUNTS[id] for id in IDS]
    assert list(after.ids) == IDS
    branch, twig = [0, 1], [2, 3]
    for leaf, siblings in ((0, branch), (1, branch), (2, twig), (3, twig)):
        assert after.rows["look"][leaf] == pytest.approx(
            learned(file_rows, counts, siblings, leaf), rel=1e-12
        )


def without(*names):
    """The same check where these have no expectations of their own."""
    look = CHECK["look"]
    expect = {name: entry for name, entry in look["expect"].items() if name not in names}
    return {"look": {**look, "expect": expect}}


def test_in_a_branch_of_three_each_sibling_is_expected_by_its_own_cases():
    branch = gate("any_of", a=cause(20), b=cause(20), c=cause(10))
    tree = model_of(faults(branch=branch, h=cause(10)), without("pair")).tree
    counts = {"a": (1, 0, 4), "b": (1, 2, 9), "c": (3, 0, 0)}
    before, after = build_model(tree), build_model(tree, tally=told(counts))
    for leaf in range(3):
        expected = learned(before.rows["look"].tolist(), list(counts.values()), [0, 1, 2], leaf)
        assert after.rows["look"][leaf] == pytest.approx(expected, rel=1e-12)


def test_a_cause_alone_in_its_branch_learns_from_its_own_cases_alone():
    lone = gate("any_of", twig=gate("any_of", a=cause(20)), c=cause(10))
    tree = model_of(faults(branch=lone, h=cause(10)), without("pair", "b")).tree
    before = build_model(tree).rows["look"][0]
    after = build_model(tree, tally=told({"a": (6, 0, 4), "c": (3, 0, 0)})).rows["look"][0]
    assert after == pytest.approx((E * before + np.array([6, 0, 4])) / (E + 10), rel=1e-12)


def test_an_answer_that_nobody_in_the_branch_gives_stays_impossible():
    sure = {"look": {**CHECK["look"], "expect": {"branch": {"one": 0.4, "two": 0.6}}}}
    branch = gate("any_of", a=cause(20), b=cause(20))
    tree = model_of(faults(branch=branch, h=cause(10)), sure).tree
    after = build_model(tree, tally=told({"b": (5, 0, 0)})).rows["look"][0]
    lifted = np.array([0.4 * ((5 + 4) / (2 + 4)) ** 0.7, 0.6 * (6 / (3 + 6)) ** 0.7, 0.0])
    assert after == pytest.approx(lifted / lifted.sum(), rel=1e-12)


def test_the_worked_lift_comes_out():
    """Twelve cases of b (1, 2, 9) and none of a; figures worked by a separate plain implementation."""
    after = with_cases(told({"b": (1, 2, 9)}))
    assert after.rows["look"][0] == pytest.approx([0.1644, 0.1132, 0.7223], abs=6e-5)
    full = learned([[0.25, 0.25, 0.5], [0.125, 0.75, 0.125]], [(0, 0, 0), (1, 2, 9)], [0, 1], 0, exponent=1)
    assert full == pytest.approx([0.1292, 0.0758, 0.7950], abs=6e-5)


def test_cut_sets_causes_below_the_top_and_not_listed_learn_from_their_own_cases_alone():
    before, after = with_cases(Tally()), with_cases(told(COUNTS))
    for id in ("f+g", "h", "not-listed"):
        at = after.index[id]
        own = np.array(COUNTS[id])
        plain = (E * before.rows["look"][at] + own) / (E + own.sum())
        assert after.rows["look"][at] == pytest.approx(plain, rel=1e-12)


def test_another_branch_and_another_check_teach_nothing():
    after = with_cases(told({"h": (9, 0, 0), "f+g": (9, 0, 0), "c": (9, 0, 0)}))
    before = with_cases(Tally())
    assert after.rows["look"][:2] == pytest.approx(before.rows["look"][:2], rel=1e-12)
    elsewhere = with_cases(Tally(answers={("b", "hear", "one"): 9.0}))
    assert elsewhere.rows["look"] == pytest.approx(before.rows["look"], rel=1e-12)


def test_how_many_cases_the_files_expectations_are_worth_is_a_setting():
    counts = told({"f+g": (6, 0, 0)})
    after = with_cases(counts, Settings(expect_strength=2.0)).rows["look"][4]
    assert after == pytest.approx([(2 * 0.3 + 6) / 8, 2 * 0.6 / 8, 2 * 0.1 / 8])


def test_confirmed_causes_are_added_to_strength_times_share():
    tally = Tally(causes={"a": 3.0, "not-listed": 1.5, "gone": 7.0})
    model = with_cases(tally)
    total = 20 + 20 + 10 + 10 + 15 + 10 + 5
    file = np.array([20, 20, 10, 10, 15, 10, 5]) * 20 / total
    assert model.alpha == pytest.approx(file + np.array([3, 0, 0, 0, 0, 0, 1.5]))


# Intervals ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_intervals_are_the_same_every_time_and_hold_the_share(seed):
    tree = made_up(seed)
    rng = Random(seed)
    findings = {
        id: Finding(id, check.answers[0].id) for id, check in tree.checks.items() if rng.random() < 0.5
    }
    situation = Situation(findings=findings)
    lines = ranking(build_model(tree, other_trees=OTHER_TREES), situation)
    assert ranking(build_model(tree, other_trees=OTHER_TREES), situation) == lines
    for line in lines:
        assert 0 <= line.low <= line.high <= 1
        if line.share > 0.02:
            # Far below a share of a fiftieth the mean of so skew a spread may lie beyond its 95 % point.
            assert line.low <= line.share <= line.high


def test_more_cases_make_intervals_narrower():
    few, many = with_cases(told({"a": (1, 1, 2)})), with_cases(Tally(causes={"a": 200.0, "b": 200.0}))
    widths = [
        {line.cause: line.high - line.low for line in ranking(each, Situation())}["a"] for each in (few, many)
    ]
    assert widths[1] < widths[0] / 2


def test_doubt_about_expectations_widens_what_a_finding_says():
    situation = Situation(findings={"look": Finding("look", "one")})
    widths = []
    for strength in (1.0, 1000.0):
        lines = ranking(with_cases(Tally(), Settings(expect_strength=strength)), situation)
        widths.append({line.cause: line.high - line.low for line in lines}["a"])
    assert widths[0] > widths[1]


def test_the_plain_tables_are_those_of_the_package_on_made_up_trees():
    for seed in range(30):
        for role in ("owner", "technician"):
            tree = made_up(seed)
            plain, model = plainly(tree, role), build_model(tree, role, other_trees=OTHER_TREES)
            assert model.ids == tuple(each.id for each in plain.suspects)
            assert model.prior == pytest.approx(plain.prior, rel=1e-12)
            for id, check in tree.checks.items():
                wanted = [[row[each.id] for each in check.answers] for row in plain.rows[id]]
                assert model.rows[id] == pytest.approx(np.array(wanted), rel=1e-12, abs=1e-15)
