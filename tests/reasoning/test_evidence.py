"""What findings say: against Bayes' rule written out plainly, and where nothing, or the impossible, is said.

Weights of readings are held against scipy's normal distribution; its upper tails in logs where a reading lies
far from a band.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.evidence import log_likelihood, normalised
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import next_step
from diagnose.reasoning.ranking import posterior, ranking
from diagnose.reasoning.readings import band_weights, log_band_weights
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_LISTED, NOT_SURE, Band, Finding, Situation
from tests.reasoning.made_up_trees import OTHER_TREES, made_up, read
from tests.reasoning.plain_bayes import belief, plainly

SEEDS = pytest.mark.parametrize("seed", range(10))


def situation_by_chance(tree, plain, seed):
    """Some findings, readings among them, and some remedies that failed or could not be done."""
    rng = Random(seed)
    findings, tried = {}, {}
    for check in tree.checks.values():
        if rng.random() < 0.7:
            answer = rng.choice([*(each.id for each in check.answers), NOT_SURE])
            findings[check.id] = Finding(check.id, answer)
        if check.reading and rng.random() < 0.8:
            value = rng.uniform(10.8, 13.2)
            band = next(b.id for b in check.bands if b.low <= value < b.high)
            findings[check.id] = Finding(check.id, band, value, rng.choice([None, 0.05, 0.7]))
    for each in plain.suspects:
        if each.does == "do" and rng.random() < 0.3:
            tried[each.id] = rng.choice([NOT_CURED, COULD_NOT])
    return Situation(findings=findings, tried=tried)


@SEEDS
@pytest.mark.parametrize("role", ["owner", "technician"])
def test_shares_are_those_of_bayes_rule_written_out(seed, role):
    tree = made_up(seed)
    plain = plainly(tree, role)
    model = build_model(tree, role, other_trees=OTHER_TREES)
    for turn in range(3):
        situation = situation_by_chance(tree, plain, seed * 10 + turn)
        expected = belief(plain, situation)
        assert posterior(model, situation) == pytest.approx(expected, rel=1e-9, abs=1e-12)
        lines = ranking(model, situation, draws=50)
        assert [line.share for line in lines] == sorted((line.share for line in lines), reverse=True)
        assert {line.cause: line.share for line in lines} == pytest.approx(
            dict(zip(model.ids, expected, strict=True)), rel=1e-9, abs=1e-12
        )


@SEEDS
def test_the_order_in_which_things_were_found_changes_nothing(seed):
    tree = made_up(seed)
    plain, model = plainly(tree), build_model(tree, other_trees=OTHER_TREES)
    situation = situation_by_chance(tree, plain, seed)
    backwards = Situation(
        findings=dict(reversed(situation.findings.items())), tried=dict(reversed(situation.tried.items()))
    )
    assert posterior(model, backwards) == pytest.approx(posterior(model, situation), rel=1e-12, abs=1e-15)
    for here, there in zip(ranking(model, situation), ranking(model, backwards), strict=True):
        assert here.cause == there.cause
        assert (here.low, here.high) == pytest.approx((there.low, there.high), rel=1e-9, abs=1e-12)
    assert next_step(model, backwards) == next_step(model, situation)


@SEEDS
def test_not_sure_and_could_not_leave_the_ranking_as_it_was(seed):
    tree = made_up(seed)
    plain, model = plainly(tree), build_model(tree, other_trees=OTHER_TREES)
    findings = {id: Finding(id, check.answers[0].id) for id, check in list(tree.checks.items())[:1]}
    before = ranking(model, Situation(findings=findings))
    unsure = {id: Finding(id, NOT_SURE) for id in tree.checks if id not in findings}
    could_not = {each.id: COULD_NOT for each in plain.suspects if each.does == "do"}
    assert ranking(model, Situation(findings=findings | unsure)) == before
    assert ranking(model, Situation(findings=findings, tried=could_not)) == before


# Readings -------------------------------------------------------------------------------------------------


VOLTS = {
    "ask": "What does it show?",
    "hands": "look",
    "by": "owner",
    "minutes": 1,
    "reading": {"unit": "V", "range": [0, 16], "uncertainty": 0.2},
    "bands": {"low": {"below": 11.5}, "fair": {"from": 11.5, "below": 12.5}, "good": {"from": 12.5}},
    "expect": {
        "flat": {"low": 0.8, "fair": 0.15, "good": 0.05},
        "worn": {"low": 0.1, "fair": 0.2, "good": 0.7},
    },
}


def fans(uncertainty=0.2, **changes):
    """Two causes told apart by one reading."""
    content = {
        "symptom": "The fan stands still",
        "system": "heating",
        "refer_to": "workshop",
        "cured_when": {"ask": "Does it turn?"},
        "faults": {
            "any_of": {
                "flat": {
                    "says": "Flat",
                    "hazard": "none",
                    "in_100": 45,
                    "remedy": {"do": "Charge it", "by": "owner", "hands": "look", "minutes": 9},
                },
                "worn": {
                    "says": "Worn",
                    "hazard": "none",
                    "in_100": 45,
                    "remedy": {"do": "Clean it", "by": "owner", "hands": "look", "minutes": 9},
                },
            }
        },
        "not_listed": 10,
        "checks": {"volts": VOLTS},
    } | changes
    if "volts" in content["checks"]:
        reading = {**VOLTS["reading"], "uncertainty": uncertainty}
        content["checks"] = {"volts": {**content["checks"]["volts"], "reading": reading}}
    return build_model(read(content, "fan"))


PRIOR = np.array([0.45, 0.45, 0.10])
ROWS = np.array([[0.8, 0.15, 0.05], [0.1, 0.2, 0.7], [1 / 3, 1 / 3, 1 / 3]])
WIDTHS = np.array([11.5, 1.0, 3.5])


def volts(value, uncertainty=None):
    band = "low" if value < 11.5 else "fair" if value < 12.5 else "good"
    return Situation(findings={"volts": Finding("volts", band, value, uncertainty)})


def shares(weights):
    joint = PRIOR * (ROWS @ weights)
    return joint / joint.sum()


def test_a_reading_on_a_border_is_split_and_favours_the_narrow_band():
    """Half the normal lies on either side, and each half is spread over its band's width."""
    beyond = stats.norm(11.5, 0.2).cdf(12.5) - 0.5
    weights = np.array([0.5, beyond, 0.5 - beyond]) / WIDTHS
    assert posterior(fans(), volts(11.5)) == pytest.approx(shares(weights), rel=1e-6)
    assert weights[1] > 10 * weights[0]


def test_a_reading_without_uncertainty_takes_its_band_whole():
    for value, band in ((11.4999, 0), (11.5, 1), (12.5, 2), (0.0, 0), (16.0, 2)):
        weights = np.zeros(3)
        weights[band] = 1 / WIDTHS[band]
        assert posterior(fans(), volts(value, 0.0)) == pytest.approx(shares(weights), rel=1e-12)


def test_the_uncertainty_of_the_finding_goes_before_that_of_the_check():
    normal = stats.norm(11.0, 2.0)
    wide = np.diff(normal.cdf([0, 11.5, 12.5, 16]))
    assert posterior(fans(), volts(11.0, 2.0)) == pytest.approx(shares(wide / WIDTHS), rel=1e-9)
    assert posterior(fans(), volts(11.0)) == pytest.approx(posterior(fans(), volts(11.0, 0.2)), rel=1e-12)


def test_a_reading_far_out_says_what_its_own_band_says_and_is_never_nothing_over_nothing():
    for value, band in ((0.5, 0), (15.9, 2)):
        for uncertainty in (1e-9, 1e-3):
            weights = np.eye(3)[band]
            found = posterior(fans(), volts(value, uncertainty))
            assert np.isfinite(found).all()
            assert found == pytest.approx(shares(weights), rel=1e-9)


def test_a_reading_that_no_cause_allows_says_nothing_where_all_are_alike():
    """Its likelihood is some exp(-2400) for all of them, what is not listed too: nothing, not 0/0."""
    checks = {"volts": {**VOLTS, "expect": {"otherwise": {"low": 1}}}}
    assert stats.norm(15.0, 0.05).logcdf(11.5) < -2000
    assert posterior(fans(0.05, checks=checks), volts(15.0)) == pytest.approx(PRIOR, rel=1e-9)


def test_of_two_causes_that_both_rule_a_reading_out_the_nearer_one_leads():
    """Only tails are left; what is not listed leads by far, as it should."""
    checks = {"volts": {**VOLTS, "expect": {"flat": {"low": 1}, "worn": {"fair": 1}}}}
    found = posterior(fans(0.5, checks=checks), volts(14.5))
    normal = stats.norm(14.5, 0.5)
    bands = np.array(
        [normal.cdf(11.5), normal.cdf(12.5) - normal.cdf(11.5), normal.cdf(16) - normal.cdf(12.5)]
    )
    weights = bands / WIDTHS
    joint = PRIOR * np.array([weights[0], weights[1], weights.mean()])
    assert found == pytest.approx(joint / joint.sum(), rel=1e-6)
    assert found[1] > 1000 * found[0] > 0


def test_a_band_named_without_a_value_counts_as_an_answer():
    named = Situation(findings={"volts": Finding("volts", "fair")})
    assert posterior(fans(), named) == pytest.approx(shares(np.array([0, 1.0, 0])), rel=1e-12)


# The impossible -------------------------------------------------------------------------------------------


def impossible():
    """A check on which all causes agree for certain: any other answer cannot be."""
    sure = {
        "look": {
            "ask": "What is there?",
            "hands": "look",
            "by": "owner",
            "minutes": 1,
            "answers": {"one": "One", "two": "Two", "three": "Three"},
            "expect": {"otherwise": {"one": 1}},
        },
        "listen": {
            "ask": "What is to be heard?",
            "hands": "look",
            "by": "owner",
            "minutes": 1,
            "answers": {"hum": "A hum", "hush": "Nothing"},
            "expect": {"flat": {"hum": 1}, "worn": {"hush": 1}},
        },
    }
    return fans(checks=sure)


def test_impossible_evidence_surfaces_as_what_is_not_listed():
    model = impossible()
    situation = Situation(findings={"look": Finding("look", "two")})
    assert posterior(model, situation).tolist() == [0, 0, 1]
    lines = ranking(model, situation)
    assert (lines[0].cause, lines[0].share) == (NOT_LISTED, 1)
    assert all(np.isfinite([line.share, line.low, line.high]).all() for line in lines)
    assert next_step(model, situation).kind == "referral"


def test_two_remedies_that_cannot_fail_and_did_leave_what_is_not_listed():
    model = impossible()
    both = Situation(tried={"flat": NOT_CURED, "worn": NOT_CURED})
    assert posterior(model, both).tolist() == [0, 0, 1]
    assert ranking(model, both)[0].share == 1
    heard = Situation(findings={"listen": Finding("listen", "hum")}, tried={"flat": NOT_CURED})
    assert posterior(model, heard) == pytest.approx([0, 0, 1], abs=1e-15)


def test_a_route_through_the_impossible_holds_numbers_everywhere():
    route = compile_route(impossible())
    for node in route.nodes:
        assert np.isfinite(
            [node.probability, *node.shares, *(e.probability for e in node.edges.values())]
        ).all()


@given(
    st.lists(st.floats(-300, 0), min_size=1, max_size=20),
    st.sampled_from([-100_000.0, -500.0, 0.0, 300.0]),
)
def test_shares_do_not_depend_on_how_small_or_large_all_weights_are(logs, shift):
    # By definition, in numbers that the machine can hold: the largest weight is one.
    weights = np.exp(np.array(logs) - max(logs))
    expected = weights / weights.sum()
    assert normalised(np.array(logs) + shift) == pytest.approx(expected, rel=1e-9, abs=1e-15)
    assert normalised(np.array([logs]) + shift)[0] == pytest.approx(expected, rel=1e-9, abs=1e-15)


@given(st.floats(0, 16), st.one_of(st.just(0.0), st.floats(0.001, 2)))
def test_the_weights_of_bands_and_their_logs_agree(value, uncertainty):
    bands = (Band("flat", 0.0, 11.9), Band("low", 11.9, 12.4), Band("good", 12.4, 16.0))
    expected = np.exp(log_band_weights(bands, value, uncertainty))
    assert band_weights(bands, value, uncertainty) == pytest.approx(expected, rel=1e-6, abs=1e-250)


def test_an_answer_that_the_check_does_not_have_is_no_finding():
    model = build_model(made_up(0), other_trees=OTHER_TREES)
    check = next(iter(model.tree.checks))
    with pytest.raises(KeyError, match="no-such-answer"):
        posterior(model, Situation({check: Finding(check, "no-such-answer")}))


# Tables that are drawn ------------------------------------------------------------------------------------


DRAWN = np.array([ROWS, ROWS[::-1], [[0.25, 0.5, 0.25], [1.0, 0.0, 0.0], [0.5, 0.5, 0.0]]])


def test_each_drawn_table_speaks_for_itself():
    """By hand: the column of an answer, and bands weighed by scipy's normal distribution."""
    model = fans()
    named = Situation({"volts": Finding("volts", "low")})
    found = np.exp(log_likelihood(model, named, {"volts": DRAWN}, shape=(3,)))
    assert found == pytest.approx(DRAWN[:, :, 0])
    weights = np.diff(stats.norm(11.4, 0.2).cdf([0, 11.5, 12.5, 16])) / WIDTHS
    found = np.exp(log_likelihood(model, volts(11.4), {"volts": DRAWN}, shape=(3,)))
    assert found == pytest.approx(DRAWN @ weights, rel=1e-9)


def test_where_only_tails_are_left_each_drawn_table_still_speaks_for_itself():
    """All rows rule the band of 15.9 V out; what decides is some exp(-58,000), which scipy has in logs."""
    low_or_fair = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.5, 0.5, 0.0]])
    drawn = np.array([low_or_fair, low_or_fair[::-1]])
    normal = stats.norm(15.9, 0.01)
    low, fair = normal.logcdf(11.5) - np.log(11.5), normal.logcdf(12.5)
    by_row = np.array([low, fair, fair + np.log(0.5)])
    found = log_likelihood(fans(), volts(15.9, 0.01), {"volts": drawn}, shape=(2,))
    assert found == pytest.approx(np.array([by_row, by_row[::-1]]), rel=1e-9)


def test_the_mean_tables_handed_in_say_what_they_say_without():
    for situation in (volts(12.0), Situation({"volts": Finding("volts", NOT_SURE)}, {"worn": NOT_CURED})):
        model = fans()
        same = log_likelihood(model, situation, model.rows)
        assert log_likelihood(model, situation) == pytest.approx(same, rel=1e-9)


def test_what_the_tree_does_not_ask_and_what_has_no_table_are_passed_over():
    model, old = fans(), Finding("asked-no-more", "yes")
    alone = volts(12.0).findings["volts"]
    both = Situation({"asked-no-more": old, "volts": alone})
    assert posterior(model, both).tolist() == posterior(model, Situation({"volts": alone})).tolist()
    assert log_likelihood(model, both, {}, shape=(2,)).tolist() == np.zeros((2, 3)).tolist()
