"""What holds of every ranking: the order of findings is nothing to it, nor is what nobody was sure of."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior, ranking
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Situation, Tally
from tests.reasoning.made_up_trees import OTHER_TREES, made_up

SEEDS = st.integers(0, 39)
"""Few enough for their models to be built once."""


@cache
def model_of(seed, learned):
    """A made-up tree as arrays, with or without confirmed cases behind it."""
    tree = made_up(seed)
    tally = Tally()
    if learned:
        sets = ["+".join(each) for each in tree.cut_sets]
        answers = {
            (id, check.id, check.answer_ids()[-1]): 2.0
            for id in sets[:2]
            for check in tree.checks.values()
            if check.expect and not check.fact
        }
        tally = Tally(dict.fromkeys(sets[:2], 3.0), answers)
    return build_model(tree, other_trees=OTHER_TREES, tally=tally)


@st.composite
def known(draw):
    """Which model, and some of what could be known: answers, readings of any kind, remedies tried."""
    which = draw(SEEDS), draw(st.booleans())
    tree = model_of(*which).tree
    findings = [_finding(draw, tree.checks[id]) for id in draw(_some(sorted(tree.checks)))]
    remedies = draw(_some(["+".join(causes) for causes in tree.cut_sets]))
    tried = [(id, draw(st.sampled_from([NOT_CURED, COULD_NOT]))) for id in remedies]
    return which, findings, tried


def _some(ids):
    return st.lists(st.sampled_from(ids), unique=True, max_size=6)


def _finding(draw, check):
    answer = draw(st.sampled_from([*check.answer_ids(), NOT_SURE]))
    if check.reading is None or answer == NOT_SURE or draw(st.booleans()):
        return Finding(check.id, answer)
    value = draw(st.floats(check.reading.low, check.reading.high))
    band = next((each.id for each in check.bands if each.low <= value < each.high), check.bands[-1].id)
    return Finding(check.id, band, value, draw(st.floats(0.01, 3)))


def situation(findings, tried):
    return Situation({each.check: each for each in findings}, dict(tried))


def check_order(case, chance):
    which, findings, tried = case
    model = model_of(*which)
    other_findings, other_tried = list(findings), list(tried)
    chance.shuffle(other_findings)
    chance.shuffle(other_tried)
    one, other = situation(findings, tried), situation(other_findings, other_tried)
    assert posterior(model, one) == pytest.approx(posterior(model, other), rel=1e-12, abs=1e-300)
    lines = {each.cause: each for each in ranking(model, other)}
    for each in ranking(model, one):
        # Sums in another order differ in the last digit; a walk puts all into the tree's order first.
        again = lines[each.cause]
        assert (each.share, each.low, each.high) == pytest.approx(
            (again.share, again.low, again.high), rel=1e-12, abs=1e-15
        )


@settings(max_examples=60)
@given(known(), st.randoms())
def test_the_order_of_findings_and_of_remedies_tried_does_not_matter(case, chance):
    check_order(case, chance)


@pytest.mark.long
@settings(max_examples=600)
@given(known(), st.randoms())
def test_it_does_not_matter_in_very_many_more(case, chance):
    check_order(case, chance)


def check_not_sure(case, chance):
    which, findings, tried = case
    model = model_of(*which)
    known_of = {each.check for each in findings}
    unknown = [id for id in model.tree.checks if id not in known_of]
    unsure = [Finding(id, NOT_SURE) for id in chance.sample(unknown, chance.randint(0, len(unknown)))]
    everything = list(findings)
    for each in unsure:
        everything.insert(chance.randint(0, len(everything)), each)
    before, after = situation(findings, tried), situation(everything, tried)
    assert np.array_equal(posterior(model, before), posterior(model, after))
    assert ranking(model, before) == ranking(model, after)


@settings(max_examples=60)
@given(known(), st.randoms())
def test_not_sure_leaves_the_ranking_as_it_was(case, chance):
    check_not_sure(case, chance)


@pytest.mark.long
@settings(max_examples=600)
@given(known(), st.randoms())
def test_not_sure_leaves_very_many_more_as_they_were(case, chance):
    check_not_sure(case, chance)


@settings(max_examples=40)
@given(SEEDS, st.booleans(), st.data())
def test_one_answer_alone_moves_shares_as_bayes_rule_says(seed, learned, data):
    """Else the tests above would prove nothing. Bayes' rule written out; nothing else is known."""
    model = model_of(seed, learned)
    check = model.tree.checks[data.draw(st.sampled_from(sorted(model.rows)))]
    answers = check.answer_ids()
    answer = data.draw(st.sampled_from(answers))
    by_hand = model.prior * model.rows[check.id][:, answers.index(answer)]
    shares = posterior(model, Situation({check.id: Finding(check.id, answer)}))
    assert shares == pytest.approx(by_hand / by_hand.sum(), rel=1e-9)
