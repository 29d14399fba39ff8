"""Advice of cases: what they contradict, told with cases that just do and with cases that just do not."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from scipy.stats import beta

from diagnose.reasoning.model import build_model
from diagnose.revising.advising_cases import LEVEL, NEVER, SHARE_BY, advice_on_cases
from diagnose.terms import EndedCases, Tally
from tests.reasoning.by_hand import cause, check, content_of, do, faults, gate
from tests.reasoning.made_up_trees import read
from tests.trees.shipped import model_of as shipped

CAUSES = {"often": cause(60), "seldom": cause(30, {"refer": "workshop"}), "rare": cause(5)}
LOOK = check(expect={"often": {"one": 0.9}, "seldom": {"one": 0.2}})


def model(causes=None, checks=None):
    content = content_of(faults(**(causes or CAUSES)), checks or {"look": LOOK})
    return build_model(read(content, "by-hand"), "technician")


def said(causes, answers=None, of=None, endings=None):
    """(name, text) of what the cases say."""
    found = advice_on_cases(of or model(), Tally(causes, answers or {}, endings or {}))
    return [(advice.name, advice.text) for advice in found]


def named(*arguments, **more):
    return [name for name, _ in said(*arguments, **more)]


def in_proportion(number):
    """So many cases just as the file has them."""
    return {"often": 0.6 * number, "seldom": 0.3 * number, "rare": 0.05 * number, "not-listed": 0.05 * number}


@pytest.mark.parametrize("number", [0, 1, 20, 100, 100_000])
def test_cases_in_the_files_own_proportions_contradict_nothing(number):
    assert named({id: n for id, n in in_proportion(number).items() if n}) == []


# Shares ---------------------------------------------------------------------------------------------------


def contradicts(hits, of, share, compared):
    """Jeffreys' interval by scipy (Brown, Cai & DasGupta 2001), for as many as are compared (Benjamini &
    Hochberg 1995: the smallest of so many chances has to be below level / number)."""
    low, high = beta(hits + 0.5, of - hits + 0.5).ppf([LEVEL / compared / 2, 1 - LEVEL / compared / 2])
    return not low <= share <= high


def test_a_share_is_contradicted_just_where_jeffreys_interval_leaves_it_out():
    """The cases of `rare` rise at the cost of the others in proportion, so that it alone stands out."""

    def tally(hits):
        rest = (200 - hits) / 0.95
        return {"often": 0.6 * rest, "seldom": 0.3 * rest, "rare": hits, "not-listed": 0.05 * rest}

    first = next(n for n in range(10, 200) if contradicts(n, 200, 0.05, 4))
    assert first > 200 * (0.05 + SHARE_BY)
    assert named(tally(first - 1)) == []
    assert said(tally(first)) == [
        (
            "share-contradicted",
            f'cause "rare" has 5 of 100, and {first} of 200 confirmed cases ({first / 2:.0f} of 100); '
            "move its in_100 there (share-contradicted)",
        )
    ]


def test_a_share_that_is_wrong_by_little_is_left_alone_however_many_cases_there_are():
    def tally(rare):
        return {"often": 600_000, "seldom": 300_000, "rare": rare, "not-listed": 100_000 - rare}

    wrong = 50_000 + SHARE_BY * 1_000_000
    assert named(tally(wrong - 5000)) == []
    assert set(named(tally(wrong + 5000))) == {"share-contradicted"}


def test_cases_that_nobody_could_explain_are_told_at_the_top():
    found = advice_on_cases(model(), Tally({"often": 30, "seldom": 15, "not-listed": 30}))
    (advice,) = [each for each in found if "not-listed" in each.text]
    assert advice.name == "share-contradicted"
    assert "move its not_listed there" in advice.text


def test_endings_of_which_little_comes_back_count_for_what_they_stand_for():
    """All cures came back, of the referrals one in five: what looks like too many cures is none."""
    causes = {"often": 60.0, "seldom": 6.0}
    endings = {
        "cured": EndedCases(60, 60, {"often": 60.0}),
        "referred": EndedCases(30, 6, {"seldom": 6.0}),
    }
    two = model({"often": cause(63), "seldom": cause(32, {"refer": "workshop"})})
    assert set(named(causes, of=two)) == {"share-contradicted"}
    assert named(causes, of=two, endings=endings) == []


# Causes that never come -----------------------------------------------------------------------------------


def test_a_cause_is_told_once_the_chance_of_never_seeing_it_is_below_one_in_a_hundred():
    """(1 - 0.05)^n: 0.0105 for 89 cases, 0.0099 for 90."""
    assert (1 - 0.05) ** 90 < NEVER < (1 - 0.05) ** 89

    def tally(number):
        return {"often": 0.63 * number, "seldom": 0.32 * number, "not-listed": 0.05 * number}

    assert named(tally(89)) == []
    assert said(tally(90)) == [
        (
            "cause-never-confirmed",
            'cause "rare" was never confirmed in 90 cases, though it has 5 of 100; lower its in_100, or see '
            "whether it goes under another name (cause-never-confirmed)",
        )
    ]


def test_a_cause_confirmed_under_its_old_id_was_confirmed():
    renamed = model({**CAUSES, "rare": cause(5, was=["scarce"])})
    tally = {"often": 63, "seldom": 32, "scarce": 5, "not-listed": 5}
    assert named(tally, of=renamed) == []
    assert named(tally) == ["cause-gone", "cause-never-confirmed"]


def test_a_cut_set_of_several_causes_is_told_at_its_first():
    both = gate("all_of", 30, left=cause(), right=cause(remedy=do(do="Other")))
    two = model({"often": cause(65), "both": both}, {"look": check()})
    found = advice_on_cases(two, Tally({"often": 60, "not-listed": 3}))
    (advice,) = [each for each in found if each.name == "cause-never-confirmed"]
    assert 'cause "left+right"' in advice.text
    assert advice.line == two.tree.events["left"].mark.line


# Expectations ---------------------------------------------------------------------------------------------


def seen(often_one, of):
    return {("often", "look", "one"): often_one, ("often", "look", "two"): of - often_one}


def test_an_expectation_is_contradicted_just_where_the_interval_leaves_it_out():
    """Two answers are looked at and one row: half the level for each answer."""
    first = next(n for n in range(20, 0, -1) if contradicts(n, 20, 0.9, 2))
    assert first / 20 < 0.9 - 0.15
    assert named(in_proportion(100), seen(first + 1, 20)) == []
    ((name, text),) = said(in_proportion(100), seen(first, 20))
    assert name == "expect-contradicted"
    assert 'check "look" expects "' in text
    assert f'if it is "often", and {first} of its 20 ' in text or f"and {20 - first} of its 20 " in text
    assert '; move it in expect of "often" towards 0.' in text


def test_an_expectation_that_is_wrong_by_little_is_left_alone():
    """Ten of a hundred away, over 10,000 cases, is sure and yet no matter; twenty of a hundred away is."""
    assert named(in_proportion(20_000), seen(8000, 10_000)) == []
    assert named(in_proportion(20_000), seen(7000, 10_000)) == ["expect-contradicted"]


def test_one_case_with_an_answer_that_the_file_takes_as_impossible_may_be_a_slip():
    sure = model(checks={"look": check(expect={"often": {"one": 1}, "seldom": {"one": 0}})})
    assert named(in_proportion(20), seen(2, 3), of=sure) == []
    assert named(in_proportion(20), seen(0, 3), of=sure) == ["expect-contradicted"]


# False alarms ---------------------------------------------------------------------------------------------


def fleet(of, number, rng):
    """Cases by chance, just as the tree says that they come."""
    causes, answers = Counter(), Counter()
    for h in rng.choice(len(of.ids), size=number, p=of.prior):
        causes[of.ids[h]] += 1
        for asked in of.tree.checks.values():
            if rng.random() < 0.5:
                row = of.rows[asked.id][h]
                answers[of.ids[h], asked.id, asked.answer_ids()[rng.choice(len(row), p=row)]] += 1
    return Tally(dict(causes), dict(answers))


def test_where_every_figure_is_right_advice_is_seldom():
    """At one in a hundred for shares, expectations and causes never seen each: of 60 fleets at most three."""
    told = [
        bool(advice_on_cases(shipped(id, "technician"), fleet(shipped(id, "technician"), number, rng)))
        for id in ("heater-no-fire", "water-pump")
        for number in (10, 60, 200)
        for rng in map(np.random.default_rng, range(10))
    ]
    assert sum(told) <= 3
