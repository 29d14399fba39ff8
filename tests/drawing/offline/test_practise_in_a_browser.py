"""An exercise on the phone is the program's exercise: the same vehicle, answers, minutes, marks and codes."""

from __future__ import annotations

import json
import random
from dataclasses import replace

import numpy as np
import pytest

from diagnose.practising.chance import Chance, fnv1a
from diagnose.practising.exercise import SEEDS, Exercise
from diagnose.practising.hiding import LEVELS, Record, fault_by_difficulty, fault_by_misses, fault_by_share
from diagnose.practising.practice import Practice
from diagnose.practising.result_code import read_result, result_code
from diagnose.practising.scoring import scored
from diagnose.practising.valuing import codes_of_steps
from diagnose.practising.vehicle import shown
from diagnose.practising.words import story
from diagnose.reasoning.exact import table_size
from diagnose.reasoning.states import state_of
from diagnose.reasoning.why import looking_two_ahead
from diagnose.terminal.practise_page import _smelt
from diagnose.terms import Finding, Situation
from tests.drawing.offline.phone import page_of
from tests.trees.shipped import model_of, route_of, tree_of

pytestmark = pytest.mark.long

IDS = ("heater-no-fire", "hook-up-trips", "engine-no-crank")
MANY = 200_000
"""Far more states than the program values exactly (`valuing.MOST_TABLED`, the danger questions asked)."""
TITLES = {id: tree_of(id).symptom for id in IDS}


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    page = tmp_path_factory.mktemp("practise") / "page.html"
    page.write_text(page_of(IDS), encoding="utf-8")
    browser.get(page.as_uri())
    return browser


def asked(phone, script, *given):
    """What a script gives for values that are handed over as JSON."""
    return phone.execute_script(f"const given = JSON.parse(arguments[0]); {script}", json.dumps(given))


def test_chance_falls_number_by_number_as_in_the_program(phone):
    given = [(7, ""), (7, "check hob-flame"), (99_999, "Prüfung \u2713"), (0, "traps")]
    script = """
        return given[0].map(([seed, label]) => {
          const chance = Diagnose.chance(seed, label);
          return [String(chance.number()), chance.part(), chance.below(60), chance.among([0, 2, 0.5, 0]),
            chance.shuffled(9)];
        });
    """
    for (seed, label), got in zip(given, asked(phone, script, given), strict=True):
        chance = Chance(seed, label)
        drawn = [str(chance.number()), chance.part(), chance.below(60), chance.among([0, 2, 0.5, 0])]
        assert got == [*drawn, chance.shuffled(9)]
    # The FNV-1a hash of "a", from the authors' own list of test values.
    assert fnv1a("a") == 0xAF63DC4C8601EC8C


def test_the_same_faults_are_hidden(phone):
    earlier = {id: {model_of(id).ids[2]: {"met": 3, "missed": 2}} for id in IDS}
    script = """
        const [id, seeds, earlier] = given;
        const tree = Diagnose.tree(id);
        const { byShare, byDifficulty, byMisses } = Diagnose.hiding;
        return seeds.map(seed => [
          byShare(tree, seed), byMisses(tree, seed, earlier), byMisses(tree, seed, {}),
          ...Diagnose.data.practise.levels.map(level => byDifficulty(tree, seed, level)),
        ]);
    """
    seeds = range(0, SEEDS, 19_999)
    for id in IDS:
        model, route = model_of(id), route_of(id)
        records = {fault: Record(**each) for fault, each in earlier[id].items()}
        for seed, got in zip(seeds, asked(phone, script, id, list(seeds), earlier[id]), strict=True):
            assert got == [
                fault_by_share(model, seed),
                fault_by_misses(model, seed, records),
                fault_by_misses(model, seed, {}),
                *(fault_by_difficulty(model, route, seed, level) for level in LEVELS),
            ]


PLAYED = """
    return given[0].map(([id, seed, fault, numbers, named]) => {
      const tree = Diagnose.tree(id);
      const run = Diagnose.practiseRun(tree, seed, fault);
      for (const number of numbers) run.choose(run.choices[number - 1]);
      run.named = named;
      const score = Diagnose.practiseScore.scored(run);
      const told = turn => ({
        number: turn.choice.number, became: turn.became, answer: turn.finding && turn.finding.answer,
        value: turn.finding && turn.finding.value,
        shown: turn.finding && Diagnose.vehicle.shown(turn.finding, tree.checks[turn.choice.id]),
        spent: [turn.spent.cost, turn.spent.handsOn, turn.spent.wait, turn.spent.price],
        marks: turn.marks, bar: turn.bar, shares: turn.shares, smelt: turn.smelt && turn.smelt.answer,
        says: Diagnose.practiseTold.outcome(run, turn).lines.filter(each => each.startsWith("Hands were")),
      });
      return {
        choices: run.choices.map(each => [each.number, each.kind, each.id, each.group, each.says]),
        story: run.vehicle.facts(), turns: run.turns.map(told), best: score.best.turns.map(told),
        over: run.over(), ended: score.ended, found: score.found, marks: score.marks,
        misleading: score.misleading.map(turn => turn.choice.number),
        regrets: score.worths.map(each => each && each.regret),
        exercise: Diagnose.exerciseCodes.written(tree, seed, fault),
        result: Diagnose.exerciseCodes.result(tree, seed, fault, numbers, run.choices.length, named),
      };
    });
"""


def played_at_random(id, chance):
    """An exercise that is gone through without much thought, now and then to no end."""
    model = model_of(id)
    seed = chance.randrange(SEEDS)
    exercise = Exercise(model, seed, chance.randrange(len(model.ids)))
    practice = Practice(exercise, route_of(id), TITLES)
    first = [] if chance.random() < 0.2 else [each for each in practice.choices if each.group == "dangers"]
    for choice in first:
        if not practice.over:
            practice.choose(choice)
    for _ in range(chance.randint(0, 12)):
        left = practice.left()
        if left:
            ends = {"referral", "handover", "stop"}
            practice.choose(chance.choices(left, [0.3 if each.kind in ends else 1 for each in left])[0])
    if practice.over and chance.random() < 0.7:
        practice.named = chance.choice(model.ids)
    return practice


def told(turn, practice):
    """A turn as the script tells it."""
    checks = practice.exercise.model.tree.checks
    found = turn.finding
    return {
        "number": turn.choice.number,
        "became": turn.became,
        "answer": found and found.answer,
        "value": found and found.value,
        "shown": found and shown(found, checks[turn.choice.id]),
        "spent": pytest.approx([turn.spent.cost, turn.spent.hands_on, turn.spent.wait, turn.spent.price]),
        "marks": list(turn.marks),
        "bar": turn.bar,
        "smelt": turn.smelt and turn.smelt.answer,
        "says": [each for each in [_smelt(practice, turn)] if each],
        "shares": pytest.approx(list(turn.shares), abs=1e-9),
    }


def test_exercises_go_turn_by_turn_as_in_the_program_and_have_the_same_codes(phone):
    chance = random.Random(29)
    practices = [played_at_random(id, chance) for id in IDS * 5]
    given = [
        [
            each.exercise.model.tree.id,
            each.exercise.seed,
            each.exercise.fault,
            [turn.choice.number for turn in each.turns],
            each.named,
        ]
        for each in practices
    ]
    became, compared = set(), 0
    for practice, got in zip(practices, asked(phone, PLAYED, given), strict=True):
        model = practice.exercise.model
        score = scored(practice)
        listed = [[c.number, c.kind, c.id, c.group, c.says.strip()] for c in practice.choices]
        assert got["choices"] == listed
        assert [list(each) for each in practice.vehicle.facts().items()] == got["story"]
        assert len(story(practice)) == len(got["story"])
        assert got["turns"] == [told(turn, practice) for turn in practice.turns]
        assert got["best"] == [told(turn, score.best) for turn in score.best.turns]
        assert (got["over"], got["ended"], got["found"]) == (practice.over, score.ended, score.found)
        assert got["marks"] == list(score.marks)
        assert got["misleading"] == [turn.choice.number for turn in score.misleading]
        assert got["exercise"] == practice.exercise.code()
        assert got["result"] == result_code(practice)
        back = read_result(got["result"], lambda *_, m=model: (m, route_of(m.tree.id), TITLES))
        assert [turn.choice for turn in back.turns] == [turn.choice for turn in practice.turns]
        for turn, regret in zip(practice.turns, got["regrets"], strict=True):
            assert (regret is None) == (turn.worth is None)
            # Where little is left to ask the program reckons exactly, and else as the page does.
            many = table_size(model, state_of(model, turn.before)) > MANY
            if turn.worth is not None and (turn.worth.regret == 0 or many):
                assert regret == pytest.approx(turn.worth.regret, abs=1e-6)
                compared += regret > 0
        became |= {turn.became for turn in practice.turns}
    assert compared > 5
    assert any(turn.smelt for practice in practices for turn in practice.turns)
    assert became >= {"found", "not-cured", "trap", "handed-over", "stopped", "went-on"}


def test_minutes_of_every_step_are_those_of_looking_two_steps_ahead(phone):
    chance = random.Random(11)
    script = """
        const [id, situation] = given;
        return Object.fromEntries(Diagnose.practiseValues.values(Diagnose.tree(id), situation));
    """
    for id in IDS * 2:
        model = model_of(id)
        checks = [table.check for table in model.checks]
        found = {
            check.id: Finding(check.id, next(a for a in check.answer_ids() if a not in check.stop_on))
            for check in chance.sample(checks, chance.randint(0, len(checks) // 2))
        }
        tried = {model.ids[each.hypothesis]: "not-cured" for each in chance.sample(model.remedies, 2)}
        state = state_of(model, Situation(found, tried))
        first = (1 << len(model.tree.ask_first)) - 1
        values = looking_two_ahead(model, replace(state, asked=state.asked | first))
        wanted = {
            f"{step.kind} {step.of}": float(values[code])
            for step, code in codes_of_steps(model).items()
            if np.isfinite(values[code])
        }
        findings = {check: {"answer": each.answer, "value": None} for check, each in found.items()}
        got = asked(phone, script, id, {"findings": findings, "tried": tried})
        assert got == pytest.approx(wanted, rel=1e-9)


def test_an_exercise_of_the_trainer_s_is_taken_up_by_its_code_and_a_wrong_one_is_told(phone):
    model = model_of("hook-up-trips")
    exercise = Exercise(model, 4711, 3)
    code = exercise.code()
    script = """
        const ids = Diagnose.data.trees.map(each => each.id);
        return given[0].map(text => {
          try {
            const { tree, seed, fault } = Diagnose.exerciseCodes.read(text, ids);
            return [tree.id, seed, fault];
          } catch (error) {
            return error.message;
          }
        });
    """
    swapped = code.replace(code[0], "8" if code[0] != "8" else "7", 1)
    technician = Exercise(model_of("hook-up-trips", "technician"), 4711, 3).code()
    elsewhere = Exercise(model_of("water-pump"), 4711, 3).code()
    spelled = code.lower().replace("0", "o").replace("-", " ")
    practice = Practice(exercise, route_of("hook-up-trips"), TITLES)
    practice.choose(practice.choices[0])
    typed = [code, spelled, result_code(practice), swapped, code[:-1], "", "9", technician, elsewhere]
    got = asked(phone, script, typed)
    assert got[:3] == [["hook-up-trips", 4711, 3]] * 3
    assert got[3:] == [
        "This code is not right: look at it again, or have it read out.",
        "A code has whole groups of 4; look at it again.",
        "There is no code here.",
        '"9" is in no code.',
        "This exercise is for a technician.",
        "The symptom of this exercise is not in this page.",
    ]
