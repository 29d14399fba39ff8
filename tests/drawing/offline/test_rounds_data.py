"""What the page holds for rounds: the tasks in the order for this vehicle, and what the card's dates mean."""

from __future__ import annotations

import json
from datetime import date
from itertools import pairwise

import pytest

from diagnose.drawing.offline.rounds_data import TITLES, rounds_data
from diagnose.knowledge.card import VehicleCard
from diagnose.rounds.ordering import planned
from diagnose.terminal import round_pages
from diagnose.terms import Finding
from diagnose.terms.rounds import ROUNDS
from tests.drawing.offline.phone import MADE
from tests.trees.shipped import COMMON, LIBRARY

SHIPPED = LIBRARY.rounds()
CARAVAN = VehicleCard(
    "tourer.yaml",
    facts=(Finding("build", "caravan"), Finding("fridge-sources", "compressor")),
    dates={"gas-hose": date(2021, 12, 1), "alarm": date(2026, 10, 31), "leisure-battery": date(2020, 1, 1)},
)


def held(card=None):
    return rounds_data(SHIPPED, COMMON, card, MADE)


def test_a_page_without_rounds_holds_nothing_of_them():
    assert rounds_data({}, COMMON, None, MADE) is None


def test_rounds_are_called_what_they_are_called_at_the_prompt():
    assert TITLES == round_pages.TITLES
    assert [each["title"] for each in held()["rounds"].values()] == [TITLES[id] for id in ROUNDS]


@pytest.mark.parametrize("card", [None, CARAVAN])
def test_the_order_is_the_planner_s_for_this_vehicle_with_what_is_not_there_behind(card):
    told = held(card)
    facts = {fact.check: fact.answer for fact in card.facts} if card else {}
    for id, round in SHIPPED.items():
        order = told["rounds"][id]["order"]
        out = {
            task.id
            for task in round.tasks.values()
            if any(facts.get(fact, "") not in ("", *fits) for fact, fits in task.applies_to.items())
        }
        assert set(order) == set(round.tasks)
        plan = planned(round.tasks, round.after, COMMON.places, out)
        assert tuple(order[: len(plan.order)]) == plan.order
        assert set(order[len(plan.order) :]) == out
        places = {task: at for at, task in enumerate(plan.order)}
        for task, before in round.after.items():
            assert all(places[each] < places[task] for each in before if {each, task} <= places.keys())
    assert ("w8-fluids" in out_of(told, "wake-up", facts)) is (card is not None)


def out_of(told, id, facts):
    tasks = [told["tasks"][task] | {"id": task} for task in told["rounds"][id]["tasks"]]
    return {
        task["id"]
        for task in tasks
        if any(facts.get(fact, "") not in ("", *fits) for fact, fits in task["appliesTo"].items())
    }


def test_a_date_goes_with_the_day_from_which_it_holds_no_more_and_what_is_said_then():
    dates = {each["of"]: each for each in held(CARAVAN)["dates"]}
    hose, alarm, battery = dates["gas-hose"], dates["alarm"], dates["leisure-battery"]
    assert (hose["due"], hose["from"]) == ("2026-12-01", "2026-12-01")
    # An end date itself still holds.
    assert (alarm["due"], alarm["from"]) == ("2026-10-31", "2026-11-01")
    assert hose["told"].startswith("The gas hose is 5 years old")
    assert alarm["told"].startswith("The carbon-monoxide alarm had its end date on 31 October 2026")
    assert (battery["due"], battery["from"], battery["told"]) == (None, None, "")
    assert (dates["mains-check"]["written"], dates["mains-check"]["from"]) == (None, None)


def test_what_a_date_means_is_at_least_what_the_tasks_say_that_hang_on_it():
    told = held()
    for round in told["rounds"].values():
        for id in round["tasks"]:
            for of in told["tasks"][id]["dates"]:
                if of not in told["checks"]:
                    counts = round["over"][of]["counts"]
                    assert told["badness"][counts] >= told["badness"][round["weight"][id]]
    order = sorted(told["badness"], key=told["badness"].__getitem__)
    assert all(told["badness"][one] < told["badness"][other] for one, other in pairwise(order))
    assert "safe" not in json.dumps([each["headlines"] for each in told["rounds"].values()])
