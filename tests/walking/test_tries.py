"""Starts of the appliance are counted, whatever is taken back, and never offered beyond the tries."""

from __future__ import annotations

from diagnose.terms import Step
from diagnose.walking.earlier import starts_within_a_day
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.views import Question, Referred, RemedyOffered
from diagnose.walking.walk import Setting, Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import resumed, through_the_danger_questions


def at_the_start_check(tree=None, **setting):
    tree = tree or heater()
    journal, clock = MemoryJournal(), HandClock()
    walk = Walk.begin(tree, Order(tree), journal, clock, setting=Setting(**setting))
    through_the_danger_questions(walk)
    asked = walk.answer("none")
    return walk, journal, clock, asked


def answer_while_asked(walk):
    """Answer whatever is asked without ever being cured; returns the starts that were offered."""
    offered = []
    for _ in range(40):
        view = walk.view()
        if isinstance(view, RemedyOffered):
            offered.append(view.remedy)
            walk.no_better()
        elif isinstance(view, Question):
            offered += [view.check] if view.starts else []
            walk.answer(view.choices[0].id)
        else:
            return offered
    raise AssertionError("the walk does not end")


def test_a_walk_offers_no_more_starts_than_tries():
    walk, _, _, _ = at_the_start_check()
    assert answer_while_asked(walk) == ["start", "empty", "shut"]
    assert isinstance(walk.view(), Referred)


def test_the_question_says_how_many_tries_are_left():
    walk, _, _, asked = at_the_start_check()
    assert (asked.check, asked.starts, asked.tries_left) == ("start", True, 3)
    walk.answer("ticks")
    assert walk.reading(12.4).tries_left == 2


def test_going_back_gives_no_try_back():
    walk, _, _, _ = at_the_start_check()
    walk.answer("ticks")
    walk.back()
    assert walk.view().tries_left == 2
    walk.answer("ticks")
    walk.back()
    walk.answer("ticks")
    walk.reading(12.4)
    assert isinstance(walk.view(), Referred)


def test_the_planner_is_told_of_starts_that_were_taken_back():
    walk, _, _, _ = at_the_start_check()
    planner = walk._reasoner
    walk.answer("ticks")
    walk.back()
    assert planner.asked[-1][1] == 1


def test_a_planner_that_forgets_the_tries_is_overruled():
    class Forgetful(Order):
        def next_step(self, situation, starts=0, restored=False):
            return super().next_step(situation, 0, restored)

    tree = heater()
    walk = Walk.begin(tree, Forgetful(tree), MemoryJournal(), HandClock())
    through_the_danger_questions(walk)
    assert answer_while_asked(walk) == ["start", "empty", "shut"]


def test_resuming_gives_no_try_back():
    walk, journal, clock, _ = at_the_start_check()
    walk.answer("ticks")
    walk.reading(12.4)
    walk.no_better()
    walk.leave_off()
    clock.move(hours=3)
    assert answer_while_asked(resumed(walk, journal, clock)) == ["shut"]


def test_what_was_taken_back_counts_for_a_day_and_no_longer():
    walk, journal, clock, _ = at_the_start_check()
    walk.answer("ticks")
    walk.back()
    walk.leave_off()
    clock.move(hours=23)
    within = resumed(walk, journal, clock)
    assert answer_while_asked(within) == ["start", "empty"]

    walk, journal, clock, _ = at_the_start_check()
    walk.answer("ticks")
    walk.back()
    walk.leave_off()
    clock.move(hours=25)
    later = resumed(walk, journal, clock)
    assert answer_while_asked(later) == ["start", "empty", "shut"]


def test_could_not_uses_no_try():
    walk, _, _, _ = at_the_start_check()
    walk.answer("ticks")
    before = walk.reading(12.4).tries_left
    walk.could_not()
    walk.answer("no")
    assert walk.view().tries_left == before


def test_starts_of_an_earlier_case_of_today_count():
    walk, journal, clock, _ = at_the_start_check()
    walk.answer("ticks")
    walk.reading(12.4)
    walk.no_better()
    from tests.walking.test_stops import record

    used = starts_within_a_day([record(journal.lines, "left-off")], walk.tree, "", clock())
    assert used == 2
    clock.move(hours=25)
    assert starts_within_a_day([record(journal.lines, "left-off")], walk.tree, "", clock()) == 0
    again, _, _, _ = at_the_start_check(started_before=used)
    assert answer_while_asked(again) == ["start"]


def test_the_mains_are_restored_once_whatever_is_taken_back():
    from dataclasses import replace

    tree = heater()
    checks = dict(tree.checks) | {"hob": replace(tree.checks["hob"], restores_mains=True)}
    tree = replace(tree, checks=checks)
    walk = Walk.begin(tree, Order(tree), MemoryJournal(), HandClock())
    through_the_danger_questions(walk)
    walk.answer("none")
    view = walk.back()
    assert isinstance(view, Referred)
    assert walk._reasoner.asked[-1][2] is True
    assert walk._scene.step == Step("referral", "gas-engineer")
