"""Why a step: the minutes that it saves, the causes that it tells apart, and what follows each answer."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from diagnose.reasoning import why as reasons_room
from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.lookahead import check_values
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import next_step
from diagnose.reasoning.states import state_of
from diagnose.reasoning.why import looking_two_ahead, why
from diagnose.terms import NOT_CURED, NOT_SURE, Finding, Situation, Step
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.exhaustive import Closing, Exhaustive, Here
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.walking_about import walks

SEEDS = pytest.mark.parametrize("seed", range(8))


@cache
def tried_out(seed):
    tree = made_up(seed)
    return build_model(tree, other_trees=OTHER_TREES), Exhaustive(plainly(tree), OTHER_TREES)


class Without(Exhaustive):
    """The same where one check cannot be asked, and yet counts as none that is left."""

    def __init__(self, plain, barred):
        super().__init__(plain, OTHER_TREES)
        self._barred = barred

    def checks_left(self, here):
        return [each for each in super().checks_left(here) if each.id != self._barred]


@SEEDS
def test_a_check_saves_what_the_best_way_without_it_would_cost_more(seed):
    model, planner = tried_out(seed)
    for situation, here in walks(planner, seed, walks=2):
        step = next_step(model, situation)
        if step.kind == "check":
            first = step.of in model.tree.ask_first
            without = 0.0 if first else Without(planner.plain, step.of).value(here) - planner.value(here)
            assert why(model, situation, step).saves == pytest.approx(without, rel=1e-6, abs=1e-6)


@SEEDS
def test_a_remedy_saves_what_the_best_other_step_would_cost_more(seed):
    model, planner = tried_out(seed)
    for situation, here in walks(planner, seed, walks=2):
        step = next_step(model, situation)
        if step.kind == "remedy":
            others = [
                planner.value_of(each, here) for each in planner.steps(here) if each != ("remedy", step.of)
            ]
            saved = min(others) - planner.value(here)
            assert why(model, situation, step).saves == pytest.approx(saved, rel=1e-6, abs=1e-6)


@SEEDS
def test_what_follows_each_answer_is_what_the_next_step_would_be(seed):
    model, planner = tried_out(seed)
    for situation, _ in walks(planner, seed, walks=2):
        step = next_step(model, situation)
        reasons = why(model, situation, step)
        if step.kind == "check":
            asked = planner.tree.checks[step.of]
            assert set(reasons.leads_to) == {*(each.id for each in asked.answers), NOT_SURE}
            for answer, following in reasons.leads_to.items():
                findings = {**situation.findings, step.of: Finding(step.of, answer)}
                assert following == next_step(model, Situation(findings, situation.tried))
        elif step.kind == "remedy":
            tried = {**situation.tried, step.of: NOT_CURED}
            after = next_step(model, Situation(situation.findings, tried))
            assert dict(reasons.leads_to) == {NOT_CURED: after}
            assert reasons.separates == (step.of,)
        else:
            assert (reasons.saves, reasons.separates, dict(reasons.leads_to)) == (0.0, (), {})


@pytest.mark.parametrize("seed", range(6))
def test_on_trees_too_large_for_tables_a_remedy_is_measured_by_closings(seed, monkeypatch):
    """One step ahead: against every other first step, with the best order of remedies behind it."""
    monkeypatch.setattr(reasons_room, "MOST_AT_ONCE", 0)
    minutes = [(seed * 7 + 11 * n) % 37 + 5 for n in range(4)]
    tree = faults(**{f"cause_{n}": cause(15 + n, do(minutes=m, cures=0.9)) for n, m in enumerate(minutes)})
    model = model_of(tree, {"look": check(minutes=30)})
    closing = Closing(plainly(model.tree))
    here = Here(closing.plain.prior)
    best = min(closing.steps(here), key=lambda step: closing.value_of(step, here))
    assert best[0] == "remedy"
    others = [closing.value_of(step, here) for step in closing.steps(here) if step != best]
    saved = min(*others, closing.value(here) + 30) - closing.value(here)
    assert why(model, Situation(), Step(*best)).saves == pytest.approx(saved, rel=1e-9)


@SEEDS
def test_looking_two_steps_ahead_lies_between_the_exact_plan_and_one_step(seed):
    """Under gas or the mains a row of remedies may be dearer than it looks: a referral can cut it short."""
    model, planner = tried_out(seed)
    led = any({"gas", "mains"} & each.hazards for each in model.hypotheses)
    for situation, here in walks(planner, seed, walks=2):
        state = state_of(model, situation)
        two = looking_two_ahead(model, state)
        one = check_values(model, state, allowed(model, state))[0] / state.weight.sum()
        codes = {step_of(model, code): code for code in np.flatnonzero(np.isfinite(two))}
        going_on = {(each.kind, each.of) for each in codes if each.kind != "referral"}
        assert going_on == {each for each in planner.steps(here) if each[0] != "referral"}
        for step, code in codes.items():
            exact = planner.value_of((step.kind, step.of), here)
            assert led or two[code] >= exact * (1 - 1e-9)
            if step.kind == "check":
                assert two[code] <= one[code] * (1 + 1e-9)


def test_two_steps_are_seen_whole_where_no_more_than_two_can_be_taken():
    """Only others can put things right, so two questions and a referral are all that there is."""
    others = {"refer": "recovery"}
    tree = faults(a=cause(40, others), b=cause(25, {"refer": "nearby"}), c=cause(30))
    answers = {"one": 0.85, "two": 0.15}
    checks = {
        "left": check(minutes=3, expect={"a": answers, "b": {"two": 0.9}}, at="front"),
        "right": check(minutes=4, expect={"c": answers, "b": {"two": 0.7}}, at="front", not_sure=0.2),
    }
    near = {"to": "Next door", "minutes": 30, "say": "All", "until_help": "Wait"}
    more = {"referrals": {"nearby": near}, "places": {"front": {"says": "In front", "access": 6}}}
    tree["any_of"]["c"]["remedy"] = others
    model = model_of(tree, checks, **more)
    planner = Exhaustive(plainly(model.tree), OTHER_TREES)
    here = Here(planner.plain.prior)
    values = looking_two_ahead(model, state_of(model, Situation()))
    for code in np.flatnonzero(np.isfinite(values)):
        step = step_of(model, code)
        assert values[code] == pytest.approx(planner.value_of((step.kind, step.of), here), rel=1e-9)


def wheels():
    tree = faults(
        a=cause(30, do(minutes=40)), b=cause(30, do(minutes=40)), c=cause(30, {"refer": "recovery"})
    )
    checks = {
        "sharp": check(expect={"a": {"one": 1}, "b": {"two": 1}}),
        "blunt": check(minutes=2, expect={"otherwise": {"one": 0.6}}),
        "odd": check(minutes=2, expect={"a": {"one": 0.55}}),
    }
    return model_of(tree, checks)


def test_a_question_separates_the_causes_whose_shares_its_answers_move():
    model = wheels()
    reasons = why(model, Situation(), Step("check", "sharp"))
    assert set(reasons.separates) == {"a", "b"}
    assert reasons.saves > 0
    assert why(model, Situation(), Step("check", "blunt")).separates == ()


def test_a_question_that_tells_nothing_saves_nothing():
    reasons = why(wheels(), Situation(), Step("check", "blunt"))
    assert reasons.saves == 0
    answers = {"one", "two", NOT_SURE}
    assert set(reasons.leads_to) == answers
    assert len({reasons.leads_to[answer] for answer in answers}) == 1


def test_the_danger_questions_are_asked_whatever_they_save():
    tree = faults(a=cause(30, hazard="gas"), b=cause(30))
    model = model_of(tree, ask_first=["smell-of-gas", "co-alarm"])
    reasons = why(model, Situation(), Step("check", "smell-of-gas"))
    assert (reasons.saves, reasons.separates) == (0.0, ())
    assert reasons.leads_to == {
        "no": Step("check", "co-alarm"),
        "yes": Step("stop", "gas-escape"),
        NOT_SURE: Step("stop", "gas-escape"),
    }


def test_a_stop_answer_leads_to_its_stop_and_doubt_there_goes_on():
    tree = faults(a=cause(50), b=cause(30))
    answers = {"fine": "Fine", "bad": "Bad"}
    flame = check(answers=answers, stop_on="bad", refer="recovery", expect={"a": {"fine": 0.9}})
    leads_to = why(model_of(tree, {"flame": flame}), Situation(), Step("check", "flame")).leads_to
    assert leads_to["bad"] == Step("stop", "recovery")
    assert leads_to[NOT_SURE].kind != "stop"


def test_starts_that_were_taken_back_bar_what_would_follow():
    tree = faults(a=cause(50), b=cause(30))
    model = model_of(tree, {"look": check(expect={"a": {"one": 0.9}, "b": {"two": 0.9}})}, tries=2)
    free = why(model, Situation(), Step("check", "look")).leads_to
    barred = why(model, Situation(), Step("check", "look"), starts=2).leads_to
    assert {step.kind for step in free.values()} == {"remedy"}
    assert {step.kind for step in barred.values()} == {"referral"}


def test_one_state_is_worth_the_same_by_hand():
    """Two causes of a half each but for what is not listed: 40 minutes of a wrong remedy are saved."""
    model = wheels()
    planner = Exhaustive(plainly(model.tree), OTHER_TREES)
    here = Here(planner.plain.prior)
    saved = Without(planner.plain, "sharp").value(here) - planner.value(here)
    assert why(model, Situation(), Step("check", "sharp")).saves == pytest.approx(saved, rel=1e-9)
