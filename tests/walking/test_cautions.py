"""Cautions: before the first step that needs them, noted as shown, and carbon monoxide before every start."""

from __future__ import annotations

from diagnose.walking.journal import MemoryJournal
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import resumed


def begun(alarm="quiet"):
    tree = heater()
    journal, clock = MemoryJournal(), HandClock()
    walk = Walk.begin(tree, Order(tree), journal, clock)
    views = [walk.view(), walk.answer("no"), walk.answer(alarm), walk.answer("gas")]
    return walk, journal, clock, views


def ids(view):
    return [caution.id for caution in view.cautions]


def test_the_trees_cautions_stand_before_its_first_step():
    _, _, _, views = begun()
    assert [ids(view) for view in views[:3]] == [["hot-surfaces"], [], []]


def test_a_hazards_caution_stands_before_the_first_step_that_carries_it():
    walk, _, _, views = begun()
    assert (views[3].check, ids(views[3])) == ("hob", ["gas"])
    assert ids(walk.answer("none")) == []


def test_what_was_shown_is_noted_once():
    walk, journal, _, _ = begun()
    walk.answer("none")
    walk.back()
    walk.answer("none")
    shown = [line.subject for line in journal.lines if line.kind == "shown"]
    assert shown == ["hot-surfaces", "gas"]


def test_the_same_view_asked_for_twice_still_shows_its_cautions():
    walk, _, _, views = begun()
    assert walk.view() == views[3]
    assert ids(walk.view()) == ["gas"]


def test_with_no_alarm_monoxide_stands_before_each_start():
    walk, _, _, views = begun("none-fitted")
    assert "carbon-monoxide" not in ids(views[3])
    starting = walk.answer("none")
    assert (starting.starts, ids(starting)) == (True, ["carbon-monoxide"])
    assert "carbon-monoxide" not in ids(walk.answer("ticks"))
    for _ in range(2):
        view = walk.answer("good") if walk.view().__class__.__name__ == "Question" else walk.view()
        assert ids(view)[0] == "carbon-monoxide"
        walk.could_not()
        walk.answer("no")


def test_with_an_alarm_monoxide_is_not_repeated():
    walk, _, _, _ = begun("quiet")
    assert "carbon-monoxide" not in ids(walk.answer("none"))


def test_who_takes_the_case_up_again_sees_the_cautions_anew():
    walk, journal, clock, _ = begun()
    walk.leave_off()
    again = resumed(walk, journal, clock)
    assert ids(again.view()) == ["hot-surfaces"]
    again.answer("no")
    assert ids(again.answer("quiet")) == ["gas"]
