"""Better plans for what follows a question: as good as the exact optimum, never dearer than look-ahead."""

from __future__ import annotations

import pytest

from diagnose.reasoning import refining
from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import MOST_AT_ONCE, MOST_STATES, LookAhead, next_step
from diagnose.reasoning.refining import (
    RefinedPlan,
    expected_minutes,
    may_be_refined,
    refined_plan,
    situations_after,
)
from diagnose.reasoning.states import state_of
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Settings, Situation, Step, Tally
from tests.reasoning.dearer_trees import after_the_first_questions, dearer, model_of, side_by_side, steps_of
from tests.reasoning.exhaustive import Exhaustive, Here
from tests.reasoning.made_up_trees import OTHER_TREES as OTHERS_OF_SMALL
from tests.reasoning.made_up_trees import made_up
from tests.reasoning.plain_bayes import belief, plainly

TOO_LARGE = [0, 1, 2]
"""Seeds with seven causes and nine checks, where even a refined plan is by search."""


def one():
    """A tree where planning at once is dearer after the first question, and its model."""
    return dearer()[0].tree, dearer()[0].model


def walks(plan, situation, starts, most=40):
    """Situations that the plan's own steps lead to, likeliest answers first, with its step in each."""
    waiting = [(situation, starts)]
    for _ in range(most):
        if not waiting:
            return
        here, used = waiting.pop(0)
        step = plan.step(here, used)
        yield here, used, step
        if step is not None:
            after = situations_after(plan.model, here, step, used)
            waiting += [(each, n) for each, n in after if COULD_NOT not in each.tried.values()]


def test_where_planning_at_once_is_dearer_the_refined_step_is_the_optimums():
    assert len(dearer()) > 3
    for each in dearer():
        first = after_the_first_questions(each.tree)
        situation = Situation({**first.findings, each.asked.of: Finding(each.asked.of, each.answer)})
        best = exact_plan(each.model, state_of(each.model, situation))
        minutes = dict(zip(steps_of(each.model), best.values, strict=True))
        assert minutes[next_step(each.model, situation)] > best.cost * 1.002
        plan = refined_plan(each.model, situation)
        assert plan.step(situation) == each.best
        assert expected_minutes(each.model, plan.planner, plan.state) == pytest.approx(best.cost, rel=2e-3)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_small_trees_are_refined_to_what_trying_everything_comes_to(seed):
    """Against the recursion of `exhaustive.py`, which shares nothing with the package's reasoning."""
    tree = made_up(seed)
    model = build_model(tree, "owner", Settings(), Tally(), OTHERS_OF_SMALL)
    plain = plainly(tree)
    everything = Exhaustive(plain, OTHERS_OF_SMALL)
    situation = after_the_first_questions(tree)
    plan = refined_plan(model, situation)
    been = frozenset(tree.checks[id].at for id in tree.ask_first) - {None}
    here = Here(tuple(belief(plain, situation)), frozenset(situation.findings), been=been)
    optimum = everything.value(here)
    # Branches come by less often than once in 10,000 are costed as closing: a little above the optimum.
    minutes = expected_minutes(model, plan.planner, plan.state)
    assert optimum * (1 - 1e-9) <= minutes <= optimum * 1.002
    step = plan.step(situation)
    assert everything.value_of((step.kind, step.of), here) == pytest.approx(optimum, rel=1e-9)


@pytest.mark.long
@pytest.mark.parametrize("seed", TOO_LARGE)
def test_a_searched_plan_never_costs_more_than_look_ahead_or_the_plan_in_hand(seed):
    model = model_of(side_by_side(seed, checks=9, causes=7))
    situation = after_the_first_questions(model.tree)
    root = state_of(model, situation)
    assert table_size(model, root) > MOST_STATES
    plan = refined_plan(model, situation)
    minutes = expected_minutes(model, plan.planner, plan.state)
    assert not plan.exact
    assert minutes <= expected_minutes(model, LookAhead(model), root)
    after, starts = situations_after(model, situation, plan.step(situation))[0]
    in_hand = plan.reached(after, starts)
    later = refined_plan(model, after, starts, in_hand=[plan])
    before = expected_minutes(model, plan.planner, in_hand)
    assert expected_minutes(model, later.planner, later.state) <= before * (1 + 1e-9)


def test_a_better_plan_in_hand_is_kept_to(monkeypatch):
    tree, model = one()
    situation = after_the_first_questions(tree)
    good = RefinedPlan(
        model, situation, state_of(model, situation), exact_plan(model, state_of(model, situation))
    )
    monkeypatch.setattr(refining, "planners_from", lambda model, root: (LookAhead(model),))
    after, starts = situations_after(model, situation, good.step(situation))[0]
    kept = refined_plan(model, after, starts, in_hand=[good])
    assert kept.planner is good.planner
    assert kept.step(after, starts) == good.step(after, starts)


@pytest.mark.parametrize(("seed", "checks"), [(0, 6), (5, 6), (1, 9)])
def test_every_step_along_a_plan_is_allowed(seed, checks):
    model = model_of(side_by_side(seed, checks))
    situation = after_the_first_questions(model.tree)
    seen = 0
    for here, starts, step in walks(refined_plan(model, situation), situation, 0):
        if step is not None:
            assert step in allowed_steps(model, here, starts)
            seen += 1
    assert seen > 10


def test_a_step_that_is_not_allowed_never_comes(monkeypatch):
    tree, model = one()
    situation = after_the_first_questions(tree)
    plan = refined_plan(model, situation)
    step = plan.step(situation)
    others = tuple(each for each in allowed_steps(model, situation) if each != step)
    monkeypatch.setattr(refining, "allowed_steps", lambda *_: others)
    assert plan.step(situation) is None


def test_more_starts_than_the_plan_knows_lead_off_it():
    tree, model = one()
    plan = refined_plan(model, after_the_first_questions(tree), starts=1)
    assert plan.step(after_the_first_questions(tree), 1) is not None
    assert plan.step(after_the_first_questions(tree), 2) is None


def test_a_plan_is_left_by_other_questions_by_readings_and_by_what_was_taken_back():
    tree, model = one()
    first = after_the_first_questions(tree)
    plan = refined_plan(model, first)
    step = plan.step(first)
    assert step.kind == "check"
    other = next(id for id in tree.checks if id not in first.findings and id != step.of)
    assert plan.step(with_finding(first, Finding(step.of, "one"))) is not None
    assert plan.step(with_finding(first, Finding(other, "one"))) is None
    assert plan.step(with_finding(first, Finding(step.of, "one", 11.0, 0.2))) is None
    assert plan.step(Situation({"smell-of-gas": first.findings["smell-of-gas"]})) is None


def test_a_remedy_that_failed_is_followed_and_one_that_could_not_be_done_leads_off():
    each = next(each for each in dearer() if each.best.kind == "remedy")
    first = with_finding(after_the_first_questions(each.tree), Finding(each.asked.of, each.answer))
    plan = refined_plan(each.model, first)
    assert plan.step(Situation(first.findings, {each.best.of: NOT_CURED}), 1) is not None
    assert plan.step(Situation(first.findings, {each.best.of: COULD_NOT})) is None


def with_finding(situation, finding):
    return Situation({**situation.findings, finding.check: finding}, situation.tried)


def test_what_follows_a_question_leaves_out_stops_and_counts_starts():
    started = 0
    for seed in range(0, 60, 3):
        tree = made_up(seed)
        model = build_model(tree, "owner", Settings(), Tally(), OTHERS_OF_SMALL)
        situation = after_the_first_questions(tree)
        for id in set(model.check_index) - set(tree.ask_first):
            check = tree.checks[id]
            after = situations_after(model, situation, Step("check", id), 1)
            answers = {each.findings[id].answer for each, _ in after}
            assert answers <= {*check.answer_ids(), NOT_SURE} - check.stop_on
            assert {starts for _, starts in after} == {1 + check.starts}
            started += check.starts
        for id in model.remedy_index:
            after = situations_after(model, situation, Step("remedy", id), 1)
            assert [(each.tried[id], starts) for each, starts in after] == [(NOT_CURED, 2), (COULD_NOT, 1)]
        assert situations_after(model, situation, Step("referral", tree.refer_to)) == ()
    assert started > 0


def test_only_what_is_not_planned_exactly_at_once_may_be_refined():
    tree, model = one()
    answers, sizes = {}, set()
    for n in range(6):
        situation = after_the_first_questions(tree, **answers)
        small = table_size(model, state_of(model, situation)) <= MOST_AT_ONCE
        assert may_be_refined(model, situation) is not small
        sizes.add(small)
        answers[f"look_{n}"] = NOT_SURE
    assert sizes == {True, False}
