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
from diagnose.walking.reasoner import RoomReasoner
from diagnose.walking.reckoning import next_for
from diagnose.walking.stepping import Stepping
from diagnose.walking.views import Question, RemedyOffered
from diagnose.walking.walk import Walk
from tests.reasoning.dearer_trees import first_dearer, side_by_side
from tests.walking.small_trees import HandClock

CASE = first_dearer()
TREE = CASE.tree
"""After the answer `CASE.answer` to its first question planning at once comes to a dearer step."""


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
    return RoomReasoner(TREE)


def begun(meanwhile=None, tree=TREE):
    """A walk without a route: it is off it from the start."""
    reasoner = RoomReasoner(tree, meanwhile=meanwhile)
    journal = MemoryJournal()
    walk = Walk.begin(tree, reasoner, journal, HandClock())
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
    reasoner = RoomReasoner(TREE, meanwhile=meanwhile)
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
    walk.answer(CASE.answer)
    best = refined_plan(plain().model, walk.situation)
    assert best.exact
    assert asked(walk) == best.step(walk.situation) == CASE.best
    assert next_step(plain().model, walk.situation) == CASE.at_once


def test_an_exact_plan_is_followed_on_and_not_made_again(monkeypatch):
    later = Later()
    tree = side_by_side(1, checks=7)
    walk, _ = begun(later, tree)
    later.do()
    walk.answer(walk.view().choices[0].id)
    model = RoomReasoner(tree).model
    best = refined_plan(model, walk.situation)
    made = []
    monkeypatch.setattr("diagnose.reasoning.refining.refined_plan", lambda *given, **_: made.append(given))
    later.do()
    walk.answer(walk.view().choices[0].id)
    assert best.exact
    assert may_be_refined(model, walk.situation)
    assert asked(walk) == best.step(walk.situation)
    assert made == []


def test_who_answers_before_it_is_ready_gets_the_step_planned_at_once():
    later = Later()
    walk, _ = begun(later)
    walk.answer(CASE.answer)
    assert asked(walk) == CASE.at_once


def test_going_back_and_answering_alike_shows_what_was_shown():
    """The better plan got ready only after the second question was on the screen."""
    later = Later()
    walk, _ = begun(later)
    work = later.works[-1]
    walk.answer(CASE.answer)
    work(lambda: False)
    walk.back()
    walk.answer(CASE.answer)
    assert asked(walk) == CASE.at_once


@pytest.mark.parametrize("ready", [True, False])
def test_a_case_taken_up_again_shows_the_question_that_was_shown(ready):
    later = Later()
    walk, journal = begun(later)
    if ready:
        later.do()
    walk.answer(CASE.answer)
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
    walk.answer(CASE.answer)
    assert stepping.reckon(walk.situation, 0, False, wrong) == next_step(plain().model, walk.situation)


def test_a_plan_that_breaks_down_does_no_harm(monkeypatch):
    later = Later()
    walk, _ = begun(later)

    def broken(*_, **__):
        raise MemoryError

    monkeypatch.setattr("diagnose.reasoning.refining.refined_plan", broken)
    with pytest.raises(MemoryError):
        later.do()
    walk.answer(CASE.answer)
    assert asked(walk) == CASE.at_once


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
    walk.answer(CASE.answer)
    assert planned(journal) == []
    assert asked(walk) == CASE.at_once


def test_findings_from_a_file_come_to_the_step_planned_at_once_each_time():
    later = Later()
    walk, _ = begun(later)
    later.do()
    walk.answer(CASE.answer)
    reasoner = RoomReasoner(TREE, meanwhile=later)
    known = Answers(tuple(walk.situation.findings.values()), {})
    first, _ = next_for(TREE, reasoner, known)
    assert next_for(TREE, reasoner, known)[0] == first
    assert next_for(TREE, plain(), known)[0] == first
