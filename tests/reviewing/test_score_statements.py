"""What scores say in words: each verdict, and never more than the figures hold."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from diagnose.reasoning.intervals import Score
from diagnose.reasoning.scores import Bin
from diagnose.reviewing import score_statements as says
from diagnose.reviewing.figures import Figures, Learning, Minutes, Side
from diagnose.reviewing.scoring import LeftOut, Review, TreeScores

NAN = math.nan


def score(value, low, high, cases=100):
    return Score(value, low, high, cases)


SIDE = Side(score(0.9, 0.8, 1), score(0.5, 0.4, 0.6), score(0.62, 0.581, 0.659), score(0.9, 0.85, 0.94))
FIGURES = Figures(
    cases=100,
    effective=100.0,
    learned=SIDE,
    by_file=replace(SIDE, top_1=score(0.5, 0.42, 0.58)),
    learning=Learning(score(0.1, 0.05, 0.16), 60, 5, 35, "helped"),
    calibration=(),
    minutes=None,
)


def reviewed(figures=FIGURES, **more):
    tree = TreeScores("water-pump", "The pump brings no water", figures, (), 0)
    return Review(None, figures, (), (tree,), (), **more)


@pytest.mark.parametrize(
    ("verdict", "start"),
    [
        ("helped", "Learning helped: on the mean the true cause had 1.11 times the share"),
        ("harmed", "Learning made the ranking worse: on the mean"),
        ("not-shown", "Whether learning helped cannot be told from these cases: on the mean"),
    ],
)
def test_each_verdict_comes_with_its_figures(verdict, start):
    said = says.learning(replace(FIGURES.learning, verdict=verdict))
    assert said.startswith(start)
    # exp(0.05) = 1.0513, exp(0.16) = 1.1735
    assert said.endswith("(between 1.05 and 1.17); better in 60 cases, worse in 35, the same in 5.")


@pytest.mark.parametrize(("changed", "of"), [(0, "no case"), (1, "only 1 case"), (9, "only 9 cases")])
def test_from_too_few_cases_nothing_is_said_of_learning(changed, of):
    said = says.learning(Learning(score(0.5, 0.4, 0.6), changed, 40, 0, "too-few"))
    assert said == (
        f"Too little to say whether learning helped: past cases changed the ranking of {of}, and it takes 10."
    )


def test_rates_are_told_beside_those_of_the_files():
    assert says.rates(FIGURES) == [
        "The true cause was in front in 62 of 100 (between 58 and 66), and among the first three in 90 of "
        "100 (between 85 and 94).",
        "By the files alone it would have been in front in 50 of 100 (between 42 and 58), and among the "
        "first three in 90 of 100 (between 85 and 94).",
    ]


def bins(*off):
    """Ten bins; those named are said too high (+) or too low (-)."""
    shift = dict(off)
    return tuple(Bin(10, 0.5 + 0.3 * shift.get(at, 0), 0.5, 0.3, 0.7) for at in range(10))


@pytest.mark.parametrize(
    ("off", "fitting", "end"),
    [
        ((), 10, "the shares can be taken at their word."),
        (((3, 1),), 9, "the shares can be taken at their word."),
        (((3, 1), (4, 1)), 8, "it was too sure of itself: right less often than it said."),
        (((3, -1), (4, -1)), 8, "it was too modest: right more often than it said."),
        (((3, 1), (4, -1)), 8, "it was now too sure of itself, now too modest."),
    ],
)
def test_shares_are_judged_by_how_many_groups_chance_cannot_explain(off, fitting, end):
    first, second = says.calibration(replace(FIGURES, calibration=bins(*off)))
    assert f"in {fitting} of them what was said lies within what chance allows" in first
    assert second.endswith(end)


def test_without_bins_it_says_how_many_cases_it_takes():
    assert says.calibration(FIGURES) == [
        "Too few cases to say whether a share can be taken at its word: it takes 50."
    ]


@pytest.mark.parametrize(
    ("difference", "said"),
    [
        (score(4.2, 1.2, 8.4), "Walks took 4 minutes more than expected (between 1 and 8)."),
        (score(-4.2, -8.4, -1.2), "Walks took 4 minutes fewer than expected (between 1 and 8)."),
        (score(0.2, -3.0, 4.0), "The difference of 0 (between -3 and +4) may be chance."),
        (score(4.0, NAN, NAN, 1), "One walk says nothing about the mean."),
    ],
)
def test_minutes_are_compared_in_words(difference, said):
    expected = score(54.4, 51.6, 57, difference.cases)
    figures = replace(FIGURES, minutes=Minutes(expected, score(50, 50, 50), expected, difference))
    sentences = says.minutes(figures)
    assert sentences[1] == said
    assert sentences[2] == "The files' own shares let expect 50 minutes."
    noun = "1 walk" if difference.cases == 1 else "100 walks"
    assert sentences[0] == (
        f"Over {noun}: expected 54 minutes (between 52 and 57), walked 54 minutes (between 52 and 57)."
    )


def test_few_cases_unequal_cases_and_older_files_are_said():
    assert len(says.basis(reviewed())) == 1
    few = says.basis(reviewed(replace(FIGURES, cases=9, effective=9.0)))
    assert few[1] == "9 cases are too few to judge a ranking by: chance could make the figures much else."
    unequal = says.basis(reviewed(replace(FIGURES, effective=60.4)))
    assert unequal[1].endswith("together they are worth 60 that count alike.")
    review = reviewed()
    older = replace(review, trees=(replace(review.trees[0], earlier_file=1),))
    assert says.basis(older)[1].startswith("1 case was walked with an earlier version of the file;")


def test_nothing_to_score_is_told_with_what_to_do():
    nothing = Review(None, None, (), (), ())
    assert says.basis(nothing)[0].endswith("diagnose cases confirm CASE CAUSE")
    since = datetime(2026, 3, 1, 12, tzinfo=UTC)
    assert says.basis(replace(nothing, since=since)) == [
        "No case was confirmed since 2026-03-01: there is nothing to score."
    ]
    out = LeftOut("gone", "", 1, "no-tree", "there is no symptom gone")
    assert says.basis(replace(nothing, left_out=(out,))) == ["None of the confirmed cases can be scored."]
    assert says.left_out(out) == "1 case of gone is left out: there is no symptom gone"
    placeless = LeftOut("pump", "seal", 3, "no-place")
    assert says.left_out(placeless) == '3 cases of pump are left out: its file has no cause "seal" any more'


def test_a_figure_without_an_interval_is_told_without_one():
    assert says.figure(score(0.5, NAN, NAN)) == "0.500"
    assert says.figure(score(0.5, 0.5, 0.5)) == "0.500"
    assert says.figure(score(0.5, 0.25, 0.75), 2) == "0.50 (0.25 to 0.75)"
