"""Laws of an exercise: what is asked, what is marked, what it costs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.practising.exercise import Exercise
from diagnose.practising.hiding import fault_by_share
from diagnose.practising.practice import CannotChoose, Practice, best_of
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.figures import figures
from diagnose.reasoning.ranking import posterior
from diagnose.terms import NOT_CURED, Finding, Situation
from tests.practising.by_hand import choose, practice, quiet, route, smelly, stove
from tests.reasoning.by_hand import cause, check, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@settings(max_examples=50)
@given(st.integers(0, 99_999))
def test_the_best_route_loses_nothing_at_any_step_and_is_never_marked(seed):
    model = stove()
    best = best_of(Exercise(model, seed, fault_by_share(model, seed)), route())
    assert best.over
    assert all(turn.worth.regret <= 1e-9 for turn in best.turns if turn.worth is not None)
    assert not any(turn.marks for turn in best.turns)


@pytest.mark.parametrize("seed", range(6))
def test_the_same_holds_of_made_up_trees(seed):
    from diagnose.reasoning.model import build_model

    model = build_model(made_up(seed), other_trees=OTHER_TREES)
    compiled = compile_route(model)
    for number in range(20):
        best = best_of(Exercise(model, number, fault_by_share(model, number)), compiled)
        assert all(turn.worth.regret <= 1e-9 for turn in best.turns if turn.worth is not None)
        assert not any(turn.marks for turn in best.turns)


def test_minutes_of_the_best_route_average_to_what_the_planner_expects():
    model, compiled = stove(), route()
    spent = np.array(
        [
            best_of(Exercise(model, seed, fault_by_share(model, seed)), compiled).spent().cost
            for seed in range(300)
        ]
    )
    # Seeded: within three standard errors of the mean of so many vehicles.
    error = spent.std(ddof=1) / np.sqrt(len(spent))
    assert abs(spent.mean() - figures(compiled, model).expected.cost) < 3 * error


def test_a_forbidden_act_is_marked_costs_nothing_and_is_no_evidence():
    each = quiet()
    before = each.situation
    trap = next(choice for choice in each.choices if choice.kind == "trap")
    turn = each.choose(trap)
    assert (turn.became, turn.marks, turn.worth) == ("trap", ("trap",), None)
    assert each.situation == before
    assert each.spent().cost == 0
    assert not each.over
    with pytest.raises(CannotChoose):
        each.choose(trap)


def test_forbidden_acts_stand_among_the_steps_and_are_of_the_trees_own_hazards():
    for seed in range(30):
        each = practice(seed=seed)
        traps = [choice for choice in each.choices if choice.kind == "trap"]
        assert 1 <= len(traps) <= 4
        assert all("gas" in choice.trap.hazards for choice in traps)
        assert each.choices[-1].kind == "stop"
        assert [choice.number for choice in each.choices] == list(range(1, len(each.choices) + 1))


def test_what_is_dangerous_comes_first_or_is_told_once():
    each = quiet()
    assert choose(each, "flame").marks == ("dangers-left-out",)
    assert choose(each, "volts").marks == ()
    other = quiet()
    assert choose(other, "co-alarm", "smell-of-gas", "flame").marks == ()
    assert all(turn.worth.regret == 0 for turn in other.turns[:2])


def test_after_a_danger_answer_only_stopping_is_right():
    each = smelly()
    choose(each, "smell-of-gas")
    assert each.stop == "gas-escape"
    stopped = choose(each, "stop")
    assert (stopped.became, stopped.marks, each.over) == ("stopped", (), True)
    assert stopped.spent.cost == pytest.approx(120 + 240)  # the stop, then the workshop for what it is
    other = smelly()
    choose(other, "smell-of-gas")
    gone_on = choose(other, "flame")
    assert (gone_on.became, gone_on.marks, gone_on.finding) == ("went-on", ("went-on",), None)
    assert other.left() == ()


def test_a_forbidden_act_after_a_danger_answer_is_marked_as_what_it_is():
    each = smelly()
    choose(each, "smell-of-gas")
    trap = next(choice for choice in each.choices if choice.kind == "trap")
    assert each.choose(trap).became == "trap"
    assert choose(each, "stop").became == "stopped"


def test_starts_that_are_used_up_bar_what_starts_it():
    each = quiet("pipe-blocked")
    choose(each, "smell-of-gas", "co-alarm", "start-it")
    turn = choose(each, "valve-shut")
    assert (turn.became, turn.bar, turn.marks) == ("barred", "tries", ("barred",))
    assert turn.spent.cost == 0
    assert "valve-shut" not in each.situation.tried


def test_where_gas_leads_and_nothing_of_it_is_left_only_handing_over_is_allowed():
    model = model_of(
        {
            "any_of": {
                "pipe-blocked": cause(80, {"refer": "gas-engineer"}, hazard="gas"),
                "fuse-blown": cause(15, do(minutes=6), hazard="none"),
            }
        },
        {"flame": check(expect={"pipe-blocked": {"one": 0.6}})},
        ask_first=["smell-of-gas", "co-alarm"],
    )
    each = Practice(Exercise(model, 2, model.index["pipe-blocked"]), compile_route(model))
    choose(each, "smell-of-gas", "co-alarm", "flame")
    turn = choose(each, "fuse-blown")
    assert (turn.became, turn.bar, turn.marks) == ("barred", "refer", ("barred",))
    assert choose(each, "gas-engineer").became == "handed-over"


def test_a_place_is_paid_once_and_the_right_remedy_ends_it():
    each = quiet("fuse-blown")
    choose(each, "smell-of-gas", "co-alarm")
    way = stove().tree.places["fuse-panel"].access
    assert way > 0
    assert choose(each, "volts").spent.hands_on == 3 + way
    turn = choose(each, "fuse-blown")
    assert (turn.became, turn.spent.hands_on, each.over) == ("cured", 6, True)


def test_money_is_kept_apart_from_minutes():
    each = quiet("bottle-empty")
    choose(each, "smell-of-gas", "co-alarm")
    spent = choose(each, "bottle-empty").spent
    assert (spent.hands_on, spent.price) == (10 + stove().tree.places["gas-locker"].access, 20)
    assert spent.cost == pytest.approx(spent.hands_on + 20 / 0.5)


def test_a_referral_that_does_not_serve_the_fault_costs_another():
    each, other = quiet("fuse-blown"), quiet("pipe-blocked")
    for one in (each, other):
        choose(one, "smell-of-gas", "co-alarm", "gas-engineer")
    assert each.turns[-1].spent.cost == 2 * other.turns[-1].spent.cost == 480


def test_the_belief_goes_by_the_band_and_by_failed_remedies():
    each = quiet("bottle-empty")
    choose(each, "smell-of-gas", "co-alarm", "volts")
    finding = each.vehicle.finding("volts")
    assert each.situation.findings["volts"] == Finding("volts", finding.answer)
    choose(each, "valve-shut")
    known = Situation(dict(each.situation.findings), {"valve-shut": NOT_CURED})
    assert posterior(stove(), each.situation) == pytest.approx(posterior(stove(), known))
    assert each.turns[-1].shares[1] > each.turns[-1].shares[0]


def test_a_trainer_may_say_something_else_and_the_best_route_meets_it_too():
    each = quiet("valve-shut")
    told = {"flame": Finding("flame", "steady")}
    each.vehicle = replace(each.vehicle, said=told, cured={"valve-shut": False})
    choose(each, "smell-of-gas", "co-alarm", "flame")
    assert each.turns[-1].finding.answer == "steady"
    best = best_of(each.exercise, route(), vehicle=each.vehicle)
    met = [turn.finding.answer for turn in best.turns if turn.choice.id == "flame"]
    assert met in ([], ["steady"])
    assert choose(each, "valve-shut").became == "not-cured"


def test_a_mains_step_that_restores_is_barred_a_second_time():
    model = model_of(
        {
            "hazard": "none",
            "any_of": {
                "tripped": cause(50, do(restores="mains"), hazard="mains"),
                "worn": cause(45, do()),
            },
        },
        {"put-back": check(ask="Does it hold?", hands="controls", restores="mains", hazard="mains")},
        ask_first=["mains-harmed"],
    )
    for seed in range(50):
        each = Practice(Exercise(model, seed, model.index["worn"]), compile_route(model))
        if each.vehicle.finding("mains-harmed").answer == "no":
            break
    choose(each, "mains-harmed", "put-back")
    assert choose(each, "tripped").bar == "restored"


def test_after_a_remedy_under_gas_it_is_smelt_for_again_before_anything_counts_as_cured():
    each = quiet("valve-shut")
    cured = choose(each, "smell-of-gas", "co-alarm", "valve-shut")
    assert (cured.became, cured.smelt.answer) == ("cured", "no")
    fuse = quiet("fuse-blown")
    done = choose(fuse, "smell-of-gas", "co-alarm", "fuse-blown")
    assert done.smelt is None  # no hand was on the gas


def test_who_left_the_smell_out_is_told_of_it_by_their_own_hands_on_the_gas():
    each = smelly()
    turn = choose(each, "valve-shut")
    assert (turn.became, turn.smelt.answer) == ("not-cured", "yes")
    assert turn.marks == ("dangers-left-out",)
    assert each.stop == "gas-escape"
    assert choose(each, "fuse-blown").became == "went-on"


def test_what_a_trainer_lets_smell_after_a_remedy_leads_to_the_stop_on_the_best_route_too():
    each = quiet("valve-shut")
    told = {f"smell-of-gas after {id}": Finding("smell-of-gas", "yes") for id in each.exercise.model.ids}
    each.vehicle = replace(each.vehicle, said=told)
    turn = choose(each, "smell-of-gas", "co-alarm", "valve-shut")
    assert (turn.became, turn.smelt.answer, each.stop) == ("not-cured", "yes", "gas-escape")
    best = best_of(each.exercise, each.route, vehicle=each.vehicle)
    assert best.turns[-1].became == "stopped"
    assert not any(turn.marks for turn in best.turns)
