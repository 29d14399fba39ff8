"""A walk off its route plans on while its question is read; what is on the screen never changes for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import pytest

from diagnose.cases.records import CaseRecord
from diagnose.reasoning.planning import next_step
from diagnose.reasoning.refining import may_be_refined, refined_plan
from diagnose.terms import Step
from diagnose.walking.answers import Answers
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reasoner import RoomReasoner, Terms
from diagnose.walking.reckoning import next_for
from diagnose.walking.stepping import Stepping
from diagnose.walking.views import Question, RemedyOffered
from diagnose.walking.walk import Walk
from tests.reasoning.made_up_large import OTHER_TREES, made_up_of
from tests.walking.small_trees import HandClock

TREE = made_up_of(23, 6, 6)
"""After its first question, answered `one`, look-ahead asks look-4 and the optimum look-1."""


@dataclass
class Later:
    """Begins nothing by itself: a test says when the work is done, so that no clock decides."""

    works: list = field(default_factory=list)

    def __call__(self, work):
        self.works.append(work)

    def do(self):
        """The latest piece, to its end."""
        self.works.pop()(lambda: False)


@cache
def plain():
    return RoomReasoner(TREE, Terms(other_trees=OTHER_TREES))


def begun(meanwhile=None):
    """A walk without a route: it is off it from the start."""
    reasoner = RoomReasoner(TREE, Terms(other_trees=OTHER_TREES), meanwhile=meanwhile)
    journal = MemoryJournal()
    walk = Walk.begin(TREE, reasoner, journal, HandClock())
    while isinstance(walk.view(), Question) and walk.view().ask_first:
        walk.answer(walk.view().choices[0].id)
    return walk, journal


def asked(walk):
    view = walk.view()
    return Step("remedy", view.remedy) if isinstance(view, RemedyOffered) else Step("check", view.check)


def planned(journal):
    return [Step(line.answer, line.subject) for line in journal.lines if line.kind == "planned"]


def resumed(walk, journal, meanwhile=None):
    """The same case taken up again, by another run of the program."""
    reasoner = RoomReasoner(TREE, Terms(other_trees=OTHER_TREES), meanwhile=meanwhile)
    record = CaseRecord(
        1, TREE.id, TREE.digest, "owner", "open", HandClock().now, HandClock().now, entries=walk.entries
    )
    again = Walk.resume(TREE, reasoner, journal, HandClock(), record)
    while isinstance(again.view(), Question) and again.view().ask_first:
        again.answer(again.view().choices[0].id)
    return again


def test_off_the_route_the_first_step_is_the_one_planned_at_once():
    walk, journal = begun(Later())
    assert asked(walk) == next_step(plain().model, walk.situation)
    assert planned(journal) == [asked(walk)]


def test_what_is_on_the_screen_stays_when_the_better_plan_is_ready():
    later = Later()
    walk, _ = begun(later)
    before = walk.view()
    later.do()
    assert walk.view() is before
    assert Walk(TREE, plain(), MemoryJournal(), HandClock(), entries=walk.entries).view() == before


def test_the_next_step_is_the_better_plans_where_it_is_ready():
    later = Later()
    walk, _ = begun(later)
    later.do()
    walk.answer("one")
    best = refined_plan(plain().model, walk.situation)
    assert best.exact
    assert asked(walk) == best.step(walk.situation) == Step("check", "look-1")
    assert next_step(plain().model, walk.situation) == Step("check", "look-4")


def test_the_better_plan_is_followed_on_without_another_one():
    later = Later()
    walk, _ = begun(later)
    later.do()
    walk.answer("one")
    best = refined_plan(plain().model, walk.situation)
    later.works.clear()
    walk.answer(walk.view().choices[0].id)
    assert may_be_refined(plain().model, walk.situation)
    assert asked(walk) == best.step(walk.situation)


def test_who_answers_before_it_is_ready_gets_the_step_planned_at_once():
    later = Later()
    walk, _ = begun(later)
    walk.answer("one")
    assert asked(walk) == Step("check", "look-4")


def test_going_back_and_answering_alike_shows_what_was_shown():
    """The better plan got ready only after the second question was on the screen."""
    later = Later()
    walk, _ = begun(later)
    work = later.works[-1]
    walk.answer("one")
    work(lambda: False)
    walk.back()
    walk.answer("one")
    assert asked(walk) == Step("check", "look-4")


@pytest.mark.parametrize("ready", [True, False])
def test_a_case_taken_up_again_shows_the_question_that_was_shown(ready):
    later = Later()
    walk, journal = begun(later)
    if ready:
        later.do()
    walk.answer("one")
    shown = asked(walk)
    assert asked(resumed(walk, journal)) == shown
    assert asked(resumed(walk, journal, Later())) == shown


def test_the_lines_alone_say_where_a_walk_stands_whoever_reads_them():
    later = Later()
    walk, _ = begun(later)
    for _ in range(3):
        later.do()
        walk.answer(walk.view().choices[0].id)
        read = Walk(TREE, plain(), MemoryJournal(), HandClock(), entries=walk.entries)
        assert read.view() == walk.view()
        if not later.works:
            break


def test_a_noted_step_that_safety_no_longer_allows_is_planned_anew():
    stepping = Stepping(TREE, plain(), None)
    walk, _ = begun()
    wrong = asked(walk)
    walk.answer("one")
    assert stepping.reckon(walk.situation, 0, False, wrong) == next_step(plain().model, walk.situation)


def test_a_plan_that_breaks_down_does_no_harm(monkeypatch):
    later = Later()
    walk, _ = begun(later)

    def broken(*_, **__):
        raise MemoryError

    monkeypatch.setattr("diagnose.reasoning.refining.refined_plan", broken)
    with pytest.raises(MemoryError):
        later.do()
    walk.answer("one")
    assert asked(walk) == Step("check", "look-4")


def test_what_nobody_waits_for_is_given_up_between_two_plans(monkeypatch):
    later = Later()
    begun(later)
    made = []
    real = refined_plan

    def counted(*given, **more):
        made.append(given)
        return real(*given, **more)

    monkeypatch.setattr("diagnose.reasoning.refining.refined_plan", counted)
    later.works[-1](lambda: bool(made))
    assert len(made) == 1


def test_without_anybody_reading_nothing_is_planned_ahead_and_nothing_noted():
    walk, journal = begun()
    walk.answer("one")
    assert planned(journal) == []
    assert asked(walk) == Step("check", "look-4")


def test_findings_from_a_file_come_to_the_step_planned_at_once_each_time():
    later = Later()
    walk, _ = begun(later)
    later.do()
    walk.answer("one")
    reasoner = RoomReasoner(TREE, Terms(other_trees=OTHER_TREES), meanwhile=later)
    known = Answers(tuple(walk.situation.findings.values()), {})
    first, _ = next_for(TREE, reasoner, known)
    assert next_for(TREE, reasoner, known)[0] == first
    assert next_for(TREE, plain(), known)[0] == first
