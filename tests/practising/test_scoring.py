"""How an exercise went: found or not, the costliest turn and why, answers that misled, and its code."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.codes import WrongCode
from diagnose.practising.document import as_document
from diagnose.practising.exercise import Exercise
from diagnose.practising.practice import best_of
from diagnose.practising.result_code import practice_of, read_result, result_code
from diagnose.practising.scoring import because, scored
from diagnose.reasoning.ranking import posterior
from diagnose.terms import Finding, Step
from tests.practising.by_hand import choose, practice, quiet, route, smelly, stove

DANGERS = ("smell-of-gas", "co-alarm")


def models(_tag, _role):
    return stove(), route(), {}


def test_the_best_route_scores_as_itself():
    each = best_of(Exercise(stove(), 4, 1), route())
    score = scored(each)
    assert score.spent == score.best.spent()
    assert (score.costliest, score.traps) == (None, 0)


def test_a_cure_and_a_right_name_count_as_found_and_a_stop_as_neither():
    cured, named, wrong = quiet("fuse-blown"), quiet("pipe-blocked"), quiet("pipe-blocked")
    choose(cured, *DANGERS, "fuse-blown")
    for each in (named, wrong):
        choose(each, *DANGERS, "gas-engineer")
    named.named, wrong.named = "pipe-blocked", "valve-shut"
    assert [(s.ended, s.found) for s in map(scored, (cured, named, wrong))] == [
        ("cured", True),
        ("handed-over", True),
        ("handed-over", False),
    ]
    stopped, gone_on = smelly(), smelly()
    choose(stopped, "smell-of-gas", "stop")
    choose(gone_on, "smell-of-gas", "flame")
    assert [(s.ended, s.found, s.traps) for s in map(scored, (stopped, gone_on))] == [
        ("stopped", None, 0),
        ("went-on", False, 1),
    ]
    left = quiet()
    choose(left, *DANGERS)
    assert (scored(left).ended, scored(left).found) == ("left-off", False)


def test_the_costliest_turn_is_the_one_that_lost_most_and_says_why():
    each = quiet("valve-shut")
    choose(each, *DANGERS, "volts", "workshop")
    score = scored(each)
    assert score.costliest.choice.id == "workshop"
    assert score.costliest.worth.regret == max(turn.worth.regret for turn in each.turns)
    told = because(each, score.costliest)
    assert told.better in (Step("check", "flame"), Step("remedy", "valve-shut"))
    assert told.better_apart or told.better_share > 0.2


def test_a_question_that_tells_nothing_apart_is_said_to():
    each = quiet("valve-shut")
    turn = choose(each, *DANGERS, "start-it")
    assert turn.worth.regret > 0
    assert because(each, turn).chosen_apart == ()
    assert "valve-shut" in because(each, turn).better_apart


def test_what_a_poor_choice_told_is_said_beside_what_the_better_one_would_have():
    each = quiet("fuse-blown")
    remedy = choose(each, *DANGERS, "valve-shut")
    reason = because(each, remedy)
    share = float(posterior(stove(), remedy.before)[stove().index["valve-shut"]])
    assert (reason.chosen_apart, reason.chosen_share) == ((), share)
    other = quiet("fuse-blown")
    check = choose(other, *DANGERS, "volts")
    told = because(other, check)
    assert check.worth.regret > 0
    assert "fuse-blown" in told.chosen_apart
    assert told.chosen_share == 0
    stopped = quiet("fuse-blown")
    stop = because(stopped, choose(stopped, *DANGERS, "stop"))
    assert (stop.chosen_apart, stop.chosen_share) == ((), 0)
    with pytest.raises(ValueError, match="no step is compared"):
        because(each, replace(remedy, worth=None))


def test_the_best_route_is_held_against_the_vehicle_that_was_played():
    each = quiet("valve-shut")
    each.vehicle = replace(
        each.vehicle, said={"flame": Finding("flame", "steady")}, cured={"valve-shut": False}
    )
    choose(each, *DANGERS, "flame", "workshop")
    best = scored(each).best
    assert best.vehicle is each.vehicle
    assert not any(turn.became == "cured" for turn in best.turns)


def test_stopping_without_need_is_no_costly_turn():
    each = quiet("valve-shut")
    choose(each, *DANGERS, "stop")
    assert each.turns[-1].worth.regret > 0
    assert scored(each).costliest is None


def test_an_answer_that_speaks_against_the_fault_is_told_as_misleading():
    each = next(
        each
        for each in (quiet("bottle-empty", seed) for seed in range(0, 4000, 40))
        if each.vehicle.finding("flame").answer == "steady"
    )
    choose(each, *DANGERS, "flame")
    assert [turn.choice.id for turn in scored(each).misleading] == ["flame"]


@settings(max_examples=20)
@given(st.integers(0, 99_999), st.integers(0, 4), st.data())
def test_a_result_is_read_back_as_it_was_done(seed, fault, data):
    each = practice(stove().ids[fault], seed)
    for _ in range(data.draw(st.integers(1, 12))):
        if each.over or not each.left():
            break
        each.choose(data.draw(st.sampled_from(each.left())))
    each.named = data.draw(st.sampled_from([None, *stove().ids]))
    again = read_result(result_code(each), models)
    assert [turn.choice for turn in again.turns] == [turn.choice for turn in each.turns]
    assert (again.named, again.spent(), scored(again).marks) == (
        each.named,
        each.spent(),
        scored(each).marks,
    )
    fresh = practice_of(result_code(each), models)
    assert (fresh.exercise.code(), fresh.turns) == (each.exercise.code(), [])


def test_an_exercises_own_code_is_no_result():
    with pytest.raises(WrongCode, match="nothing has been chosen"):
        read_result(practice(seed=70_000).exercise.code(), models)


def test_a_document_tells_all_of_it_and_is_json():
    each = quiet("valve-shut")
    trap = next(choice.id for choice in each.choices if choice.kind == "trap")
    choose(each, trap, *DANGERS, "volts", "workshop")
    told = json.loads(json.dumps(as_document(scored(each), "robin")))
    assert (told["learner"], told["cause"], told["ended"], told["marks"]) == (
        "robin",
        "valve-shut",
        "handed-over",
        ["trap"],
    )
    assert told["turns"][3]["reading"] == each.turns[3].finding.value
    assert told["costliest"]["turn"] == 5
    assert told["minutes"]["counted"] == each.spent().cost
    assert told["result"] == result_code(each)


KEYS = """
    exercise symptom role seed learner cause share facts ended found named marks minutes best expected
    expected_with_this_cause turns costliest misleading result
"""


def test_each_key_of_a_document_holds_what_docs_say():
    each = quiet("valve-shut")
    choose(each, *DANGERS, "volts", "workshop")
    each.named = "fuse-blown"
    score = scored(each)
    told = as_document(score)
    assert set(told) == set(KEYS.split())
    assert (told["learner"], told["seed"], told["role"]) == ("", each.exercise.seed, "owner")
    assert (told["found"], told["named"], told["symptom"]) == (False, "fuse-blown", stove().tree.id)
    assert told["share"] == stove().prior[each.exercise.fault]
    assert told["facts"] == each.vehicle.facts()
    assert told["exercise"] == each.exercise.code()
    assert told["expected_with_this_cause"] == score.of_such > 0
    assert told["best"]["minutes"]["counted"] == score.best.spent().cost
    assert [turn["id"] for turn in told["best"]["turns"]] == [turn.choice.id for turn in score.best.turns]
    assert told["misleading"] == [turn.choice.id for turn in score.misleading]
    spent, last = each.turns[-1].spent, told["turns"][-1]
    assert last == {
        "kind": "referral", "id": "workshop", "became": "handed-over", "regret": each.turns[-1].worth.regret,
        "minutes": {
            "counted": spent.cost, "hands_on": spent.hands_on, "wait": spent.wait, "price": spent.price
        },
        "better": {"kind": each.turns[-1].worth.better.kind, "id": each.turns[-1].worth.better.of},
        "marks": [],
    }  # fmt: skip
    first, volts = told["turns"][0], told["turns"][2]
    assert (first["answer"], "reading" in first) == ("no", False)
    assert (volts["kind"], volts["uncertainty"]) == ("check", 0.05)
    reason = because(each, score.costliest)
    assert told["costliest"] == {
        "turn": 4,
        "chosen": {"kind": "referral", "id": "workshop"},
        "better": {"kind": reason.better.kind, "id": reason.better.of},
        "regret": score.costliest.worth.regret,
        "better_tells_apart": list(reason.better_apart),
        "better_share": reason.better_share,
        "chosen_tells_apart": list(reason.chosen_apart),
        "chosen_share": reason.chosen_share,
    }
    assert as_document(scored(best_of(Exercise(stove(), 4, 1), route())))["costliest"] is None
