"""What the trees say prevents faults, as tasks of a lay-up: by hand, and against every choice there is."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from itertools import combinations
from random import Random

import pytest

from diagnose.knowledge.collection import Library
from diagnose.rounds.past import held_back
from diagnose.rounds.preventions import (
    LEAST,
    MILD,
    MOST,
    Prevention,
    Valued,
    chosen,
    preventions,
    to_book,
    valued,
    with_preventions,
)
from diagnose.rounds.stakes import Stake
from diagnose.rounds.verdict import judged
from diagnose.terms.rounds import TaskMark
from tests.rounds.test_worth import PUMP

LIBRARY = Library()
LAY_UP = LIBRARY.round("lay-up")
TREES = {id: LIBRARY.tree(id) for id in LIBRARY.ids()}
NOW = datetime(2026, 11, 29, tzinfo=UTC)
PLACES = LIBRARY.common().places
FOUND = preventions(TREES, LAY_UP.tasks.values(), PLACES)
BY_ID = {each.id: each for each in FOUND}


def made(id, *against, kind="task", **more):
    """A prevention of which nothing else matters."""
    blank = Prevention(id, id, kind, against, (), {}, frozenset(), "cab", "workshop")
    return replace(blank, **more)


def saved(prevention, stakes=(PUMP,), **more):
    (found,) = valued([prevention], {each.tree: each for each in stakes}, **more)
    return found.saved


# What it is worth -----------------------------------------------------------------------------------------


def test_what_a_prevention_saves_is_worked_by_hand():
    """Half of .05 a year x (.50 x 20 + .45 x 60) minutes: 0.925."""
    both = made("both", ("pump-silent", "fuse"), ("pump-silent", "seized"))
    assert saved(both) == pytest.approx(0.5 * 0.05 * (10 + 27), abs=1e-9)


def test_this_fleets_cases_and_the_vehicles_facts_move_it():
    """By hand: 3.5 / 40 a year; a vehicle that was not drained has the seized pump three times as often."""
    seized = made("seized", ("pump-silent", "seized"))
    cases = [replace(PUMP, cases=3.0)]
    assert saved(seized, cases, vehicle_years=30.0) == pytest.approx(0.5 * 3.5 / 40 * 27, abs=1e-9)
    assert saved(seized, facts={"drained": "undrained"}) == pytest.approx(0.5 * 0.05 * 3 * 27, abs=1e-9)


def test_of_what_only_together_makes_the_symptom_any_one_part_is_enough():
    pair = replace(PUMP, causes=("fuse", "low+seized", "not-listed"))
    assert saved(made("low", ("pump-silent", "low")), [pair]) == pytest.approx(0.5 * 0.05 * 27, abs=1e-9)


def test_one_text_of_two_trees_saves_in_both_and_a_tree_that_is_not_there_saves_nothing():
    other = replace(PUMP, tree="lamp", later=(2.0, 4.0, 8.0))
    both = made("both", ("lamp", "fuse"), ("pump-silent", "fuse"), ("gone", "fuse"))
    assert saved(both, [PUMP, other]) == pytest.approx(0.5 * 0.05 * (0.5 * 20 + 0.5 * 2), abs=1e-9)


def test_a_tree_for_other_vehicles_counts_for_nothing():
    """By hand: of the two trees that say the same only the one for caravans counts, .50 x 20 minutes."""
    vans = replace(PUMP, tree="vans", applies_to={"build": ("campervan",)})
    both = made("both", ("pump-silent", "fuse"), ("vans", "fuse"))
    assert saved(both, [PUMP, vans], facts={"build": "caravan"}) == pytest.approx(0.25, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_the_choice_saves_as_much_as_any_other_of_as_many(seed):
    """Against every set of at most `MOST` of them."""
    dice = Random(seed)
    causes = tuple(f"c{n}" for n in range(7))
    shares = tuple(dice.random() / 7 for _ in causes)
    later = tuple(dice.uniform(0, 900) for _ in causes)
    stake = Stake("s", causes, shares, later, later, (), {}, {}, 0.0)
    some = [made(f"p{n}", ("s", cause), kind=dice.choice(["task", "book"])) for n, cause in enumerate(causes)]
    ranking = valued(some, {"s": stake})
    by_hand = {f"p{n}": 0.5 * 0.05 * shares[n] * later[n] for n in range(7)}
    assert {each.prevention.id: each.saved for each in ranking} == pytest.approx(by_hand, abs=1e-9)
    fit = [by_hand[each.id] for each in some if each.kind == "task" and by_hand[each.id] >= LEAST]
    best = max((sum(some) for n in range(MOST + 1) for some in combinations(fit, n)), default=0.0)
    assert sum(each.saved for each in chosen(ranking)) == pytest.approx(best, abs=1e-9)


def test_what_a_kept_round_has_marked_stays_whatever_it_is_worth_now():
    some = [Valued(made(f"p{n}"), 9.0 - n) for n in range(8)] + [Valued(made("no", kind="book"), 99.0)]
    assert [each.prevention.id for each in chosen(some)] == ["p0", "p1", "p2", "p3"]
    assert [each.prevention.id for each in chosen(some, {"p6", "no"})] == ["p0", "p1", "p2", "p3", "p6"]
    assert chosen([Valued(made("small"), LEAST / 2)]) == ()


# What becomes a task, and for whom ------------------------------------------------------------------------


def test_nothing_that_can_hurt_and_nothing_of_a_technicians_is_a_task_for_an_owner():
    tasks = [each for each in FOUND if each.kind == "task"]
    assert len(tasks) > 10
    for each in tasks:
        causes = [TREES[tree].events[cause] for tree, cause in each.against]
        assert all(cause.hazards <= MILD for cause in causes), each.id
        assert all(cause.remedy.by != "technician" for cause in causes if cause.remedy.kind == "do"), each.id
        assert "have " not in f" {each.text.lower()} ", each.id


def test_gas_and_mains_are_booked_with_nobody_but_who_is_qualified_for_them():
    booked = to_book([Valued(each, 1.0) for each in FOUND])
    assert set(booked) == {"gas-engineer", "electrician", "auto-electrician", "workshop"}
    for refer, some in booked.items():
        for each in some:
            hazards = each.prevention.hazards
            assert "gas" not in hazards or refer == "gas-engineer", each.prevention.id
            assert "mains" not in hazards or refer in ("gas-engineer", "electrician"), each.prevention.id


def test_what_a_task_of_the_lay_up_keeps_away_is_not_asked_twice():
    covered = {
        (tree, cause)
        for task in LAY_UP.tasks.values()
        for tree, some in task.prevents.items()
        for cause in some
    }
    assert covered.isdisjoint(pair for each in FOUND for pair in each.against)
    said = {(tree, event.id) for tree in TREES for event in TREES[tree].events.values() if event.prevent}
    assert said - covered == {pair for each in FOUND for pair in each.against}


def test_a_vehicle_that_has_no_such_thing_is_not_asked():
    grilles = BY_ID["prevent-compressor-fridge-vent-blocked"]
    stakes: dict[str, Stake] = {}
    assert valued([grilles], stakes, facts={"fridge-sources": "three-way"}) == ()
    assert len(valued([grilles], stakes, facts={"fridge-sources": "compressor"})) == 1
    task = with_preventions(LAY_UP, valued([grilles], stakes), TREES).tasks[grilles.id]
    assert task.applies_to == {"fridge-sources": {"compressor"}}


def test_a_caravan_is_asked_nothing_of_an_engine_and_nothing_of_it_is_booked_for_one():
    of_engines = {each.id for each in FOUND if TREES[each.against[0][0]].system.startswith("engine")}
    there = {
        build: {each.prevention.id for each in valued(FOUND, {}, facts={"build": build})}
        for build in ("motorhome", "campervan", "caravan")
    }
    assert len(of_engines) > 10
    assert of_engines <= there["motorhome"] & there["campervan"]
    assert of_engines.isdisjoint(there["caravan"])


def test_what_burns_or_heats_is_run_with_its_covers_off_and_no_vent_is_ever_closed():
    """The lay-up covers flue and fridge vents, and vents are to breathe by: common practice, no source."""
    burning = [tree for tree in TREES.values() if not tree.system.startswith("engine")]
    texts = [event.prevent for tree in burning for event in tree.events.values() if event.prevent]
    runs = [
        text
        for text in texts
        if re.search(r"\brun (it|the (fridge|heater|water heater|boiler))\b", text, re.I)
    ]
    monthly = [text for text in runs if "month" in text]
    assert len(monthly) > 5
    assert all("bare" in text or "covers off" in text for text in monthly), monthly
    shut = [
        text
        for text in texts
        if re.search(r"\b(close|tape|mesh)\w*\b[^.;]*\b(vents?|outlets?)\b", text, re.I)
    ]
    assert all("never" in text for text in shut), shut


def test_what_is_booked_says_of_itself_what_it_is_of():
    """Beside a referral it stands without the cause that it is against."""
    booked = [each.text for each in FOUND if each.kind == "book"]
    assert not [
        text
        for text in booked
        if re.match(r"(Have|Run|Fire) (it|hoses|the (hose|heater|plug))\b", text)
        and "gas" not in text
        and "before the winter" not in text
    ]


def test_a_prevention_keeps_its_id_whatever_the_others_are():
    """A kept round finds it again; without one of two trees that say the same it is that of the other."""
    some = preventions({id: TREES[id] for id in ("bits-in-water", "water-pump")}, (), PLACES)
    assert {"prevent-bits-in-water-tank-dirt", "prevent-water-pump-filter-blocked"} <= {
        each.id for each in some
    }
    assert set(BY_ID) == {
        each.id for each in preventions(dict(reversed(TREES.items())), LAY_UP.tasks.values(), PLACES)
    }


# In the round ---------------------------------------------------------------------------------------------

TANK = BY_ID["prevent-bits-in-water-tank-dirt"]
WHOLE = with_preventions(LAY_UP, [Valued(TANK, 1.0)], TREES)


def test_nothing_waits_for_it_and_it_is_never_for_safety():
    assert list(WHOLE.tasks) == [*LAY_UP.tasks, TANK.id]
    assert WHOLE.after[TANK.id] == frozenset()
    assert all(TANK.id not in before for before in WHOLE.after.values())
    task = WHOLE.tasks[TANK.id]
    assert (task.safety, task.gathered, task.hands, task.by) == (False, True, "controls", "owner")
    for end in ("wrong", "not-done", "not-fitted"):
        marks = {TANK.id: TaskMark(TANK.id, end, NOW)}
        assert TANK.id not in {
            other for why in held_back(WHOLE, WHOLE.tasks, marks).values() for other in why
        }


def test_a_vehicle_is_no_less_ready_without_it_and_limited_at_most_where_it_is_wrong():
    fine = [TaskMark(id, "fine", NOW) for id in LAY_UP.tasks]

    def against(round, *more):
        reasons = judged(round, [*fine, *more], None, NOW.date()).reasons
        return [(each.why, each.counts) for each in reasons if each.about == TANK.id]

    assert against(WHOLE) == against(WHOLE, TaskMark(TANK.id, "not-done", NOW)) == []
    wrong = TaskMark(TANK.id, "wrong", NOW)
    assert against(WHOLE, wrong) == [("wrong", "limited")]
    assert against(LAY_UP, wrong) == [("gone", "limited")]


def test_what_a_tree_of_ones_own_says_makes_the_round_not_all_the_projects():
    assert WHOLE.shipped
    assert not with_preventions(LAY_UP, [Valued(TANK, 1.0)], TREES.keys() - {"bits-in-water"}).shipped
