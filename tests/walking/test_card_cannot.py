"""Walks of somebody who cannot do this or that, on shipped trees, on the route and off it."""

from __future__ import annotations

from random import Random

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terms import NOT_CURED, NOT_SURE, Finding
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reasoner import RoomReasoner, Terms
from diagnose.walking.scene import Setting
from diagnose.walking.views import CuredQuestion, End, Question, Referred, RemedyOffered, Stopped
from diagnose.walking.walk import Walk
from tests.trees.shipped import routes
from tests.walking.small_trees import HandClock

CANNOT = [frozenset({"kneel"}), frozenset({"smell", "lift"}), frozenset({"reach", "hear", "kneel"})]


def walked(tree, reasoner, cannot, chance):
    """A walk answered by chance (danger questions so that it goes on); returns all its views."""
    facts = [Finding(id, fits[0]) for id, fits in tree.applies_to.items() if fits]
    walk = Walk.begin(
        tree,
        reasoner,
        MemoryJournal(),
        HandClock(),
        route=reasoner.route,
        setting=Setting(cannot=cannot),
        facts=facts,
    )
    views = [walk.view()]
    while not isinstance(views[-1], End):
        view = views[-1]
        if isinstance(view, Question) and view.measures is not None and chance.random() < 0.5:
            span = view.measures.high - view.measures.low
            views.append(walk.reading(round(view.measures.low + span * chance.random(), 2)))
        elif isinstance(view, Question) and view.ask_first:
            views.append(walk.answer(tree.checks[view.check].answer_ids()[0]))
        elif isinstance(view, Question):
            stops = tree.checks[view.check].stop_on if view.check in tree.checks else ()
            views.append(
                walk.answer(chance.choice([c.id for c in view.choices if c.id not in stops] + [NOT_SURE]))
            )
        elif isinstance(view, RemedyOffered):
            views.append(walk.answer(NOT_CURED if chance.random() < 0.7 else "could-not"))
        elif isinstance(view, CuredQuestion):
            views.append(walk.cured_when(False))
        else:
            raise AssertionError(view)
    return views


@pytest.mark.parametrize(
    "id",
    [
        "water-pump",
        *(pytest.param(id, marks=pytest.mark.long) for id in ("heater-no-fire", "engine-no-crank")),
    ],
)
@pytest.mark.parametrize("cannot", CANNOT, ids=lambda each: "-".join(sorted(each)))
def test_nothing_is_asked_or_offered_that_this_person_cannot_do(id, cannot):
    tree = Library().tree(id)
    reasoner = RoomReasoner(tree, Terms(cannot=cannot), routes())
    asked = 0
    for seed in range(4):
        views = walked(tree, reasoner, cannot, Random(seed))
        for view in views:
            if isinstance(view, (Question, RemedyOffered)) and not getattr(view, "ask_first", False):
                asked += 1
                assert cannot.isdisjoint(view.needs), view
        assert isinstance(views[-1], (Referred, Stopped, End))
    assert asked > 0


def test_somebody_who_can_do_it_all_is_asked_to_kneel_in_the_same_tree():
    tree = Library().tree("water-pump")
    reasoner = RoomReasoner(tree, Terms(), routes())
    views = [view for seed in range(4) for view in walked(tree, reasoner, frozenset(), Random(seed))]
    assert any("kneel" in view.needs for view in views if isinstance(view, (Question, RemedyOffered)))


def test_what_somebody_else_saw_counts_all_the_same():
    tree = Library().tree("water-pump")
    cannot = frozenset({"kneel", "reach", "hear"})
    barred = next(
        check
        for check in tree.checks.values()
        if not cannot.isdisjoint(check.needs) and check.id not in tree.ask_first and not check.stop_on
    )
    reasoner = RoomReasoner(tree, Terms(cannot=cannot), routes())
    walk = Walk.begin(tree, reasoner, MemoryJournal(), HandClock(), setting=Setting(cannot=cannot))
    for id in tree.ask_first:
        walk.answer(tree.checks[id].answer_ids()[0])
    before = reasoner.ranking(walk.situation)
    walk.volunteer(barred.id, barred.answer_ids()[0])
    after = reasoner.ranking(walk.situation)
    assert barred.id in walk.situation.findings
    assert [line.share for line in after] != [line.share for line in before]
