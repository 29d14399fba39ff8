"""What is wrong on a round opens its walk: a cure brings the task back, other ends leave it wrong."""

from __future__ import annotations

import json

import pytest

from diagnose.cases.rounds_store import round_kept
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from tests.terminal.conftest import LAMP

TASK = """
x-lamp:
  {what: Try the lamp over the table, how: Switch it on. A dark lamp is wrong., at: kitchen, hands: controls,
   by: owner, hazard: none, minutes: 1, opens: [lamp-dark], refer: workshop, buy: [bulb],
   for: {build: [caravan]}}
"""
NOT_OURS = "nobody of this project"


@pytest.fixture
def only_the_lamp(run, tmp_path):
    """Round 1: a journey of one's own, of which only the lamp is left."""
    folder = tmp_path / "own"
    (folder / "rounds").mkdir(parents=True)
    # The fact is asked on the round; the tree wants it too.
    lamp = LAMP.replace("refer_to: workshop\n", "refer_to: workshop\napplies_to: {build: [caravan]}\n", 1)
    (folder / "lamp-dark.yaml").write_text(lamp, encoding="utf-8")
    (folder / "rounds" / "tasks.yaml").write_text(TASK, encoding="utf-8")
    shipped = Library().round("journey").tasks
    listed = "".join(f"  {id}: {{}}\n" for id in (*shipped, "x-lamp"))
    (folder / "rounds" / "journey.yaml").write_text(f"round: journey\nsays: Before we go\ntasks:\n{listed}")
    (tmp_path / "rest.yaml").write_text("".join(f"{id}: fine\n" for id in shipped), encoding="utf-8")
    assert run("round", "journey", "--trees", "own", "--marks", "rest.yaml").code == 0


@pytest.fixture
def lines(tmp_path):
    """`lines()` are those of round 1 about the lamp, as (end, case)."""

    def of_the_lamp():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            found = round_kept(store, 1).lines
            return [(line.answer, line.case) for line in found if line.subject == "x-lamp"]

    return of_the_lamp


def test_after_a_cure_the_task_is_looked_at_once_more(run, only_the_lamp, lines):
    typed = "caravan\nwrong\n1\noff\n1\nyes\nfine\n"
    ran = run("round", "--resume", "--trees", "own", typed=typed)
    assert ran.code == 0
    assert ran.out.index("CURED") < ran.out.index("Back to the round.")
    assert "It was wrong, and its walk ended in a cure: look at it once more." in ran.out
    # What was told of the vehicle on the round is not asked again in the walk.
    assert ran.out.count("What kind of vehicle is it?") == 1
    assert lines() == [("wrong", None), ("wrong", 1), ("fine", None)]
    document = json.loads(run("round", "--kept", "1", "--trees", "own", "--json").out)
    assert (document["stage"], document["left"], document["parts"]) == ("ended", [], [])


def test_a_walk_that_is_left_off_leaves_it_wrong_with_the_way_on_and_whom_to_call(run, only_the_lamp, lines):
    typed = "caravan\nwrong: dark\n1\non\nleave off\n"
    ran = run("round", "--resume", "--trees", "own", typed=typed)
    assert "To be called: A workshop for leisure vehicles." in ran.out
    assert "Perhaps to be bought:\n  - bulb." in ran.out
    assert "To go on with what is wrong, type:\n  diagnose walk --resume 1 --trees own\n" in ran.out
    assert lines() == [("wrong", None), ("wrong", 1)]
    again = run("round", "--kept", "1", "--trees", "own").out
    assert "WRONG Try the lamp over the table." in again
    assert "; case 1" in again


@pytest.mark.long
def test_every_screen_of_a_round_of_ones_own_says_that_nobody_has_checked_it(run, only_the_lamp):
    ran = run("round", "--resume", "--trees", "own", typed="caravan\nfine\n")
    task, end = ran.out.split("Task 8 of 8")[1].split("Before a journey")[:2]
    assert NOT_OURS in task
    assert NOT_OURS in end


@pytest.mark.long
def test_where_the_vehicle_has_no_such_thing_the_task_is_not_shown(run, only_the_lamp, lines):
    ran = run("round", "--resume", "--trees", "own", typed="motorhome\n")
    assert "Try the lamp" not in ran.out.split("What kind of vehicle is it?")[1].split("> motorhome")[1]
    assert lines() == []


@pytest.mark.long
def test_an_input_that_ends_in_the_walk_leaves_both_off(run, only_the_lamp, lines, tmp_path):
    ran = run("round", "--resume", "--trees", "own", typed="caravan\nwrong\n1\n")
    assert ran.code == 0
    assert "diagnose walk --resume 1 --trees own" in ran.out
    assert "diagnose round --resume 1 --trees own" in ran.out
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        assert (store.case(1).state, round_kept(store, 1).stage) == ("left-off", "left-off")


@pytest.mark.long
def test_a_round_whose_file_has_changed_says_so_and_keeps_what_has_a_place(run, only_the_lamp, tmp_path):
    run("round", "--resume", "--trees", "own", typed="caravan\nwrong\n2\n")
    ran = run("round", "--resume", "1", typed="leave off\n")
    assert "The file of this round has changed since it was begun." in ran.out
    assert "It has these no more: x-lamp." in ran.out.replace("\n", " ")


@pytest.mark.parametrize("named", ["VAN 7", "van  7", " van\u00a07 ", "./van.yaml"])
def test_danger_is_found_again_however_the_vehicle_s_name_is_typed(run, tmp_path, named):
    (tmp_path / "van.yaml").write_text("label: Van   7\n", encoding="utf-8")
    run("round", "journey", "--vehicle", "van 7", typed="danger\n")
    assert "Danger stopped this vehicle." in run("round", "wake-up", "--vehicle", named, typed="").out
