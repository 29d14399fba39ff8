"""Walks of the shipped trees with the real arithmetic, along many answers to their ends."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terms import Finding, Situation
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.past import restores
from diagnose.walking.reasoner import RoomReasoner, Terms, without_restoring
from diagnose.walking.views import (
    Cured,
    CuredQuestion,
    End,
    HandedOver,
    Question,
    Referred,
    RemedyOffered,
    Stopped,
)
from diagnose.walking.walk import Setting, Walk
from tests.trees.shipped import SOME_QUICKLY, TREES, routes

IDS = Library().ids()


class SlowClock:
    """Moves on by half a minute each time it is looked at."""

    def __init__(self):
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self):
        self.now += timedelta(seconds=5)
        return self.now


@cache
def reasoner(id):
    tree = Library().tree(id)
    return tree, RoomReasoner(tree, Terms(other_trees=IDS), routes())


def begun(id, **more):
    tree, reason = reasoner(id)
    facts = [Finding(fact, fits[0]) for fact, fits in tree.applies_to.items()]
    journal = MemoryJournal()
    return Walk.begin(tree, reason, journal, SlowClock(), route=reason.route, facts=facts, **more), journal


def walk_on(walk, pick):
    """Answer by `pick` until the walk ends; yields every view."""
    for _ in range(200):
        view = walk.view()
        yield view
        if isinstance(view, End):
            return
        pick(walk, view)
    raise AssertionError("the walk does not end")


def harmless(view, tree):
    """The answers that stop nothing."""
    if isinstance(view, Question):
        return [c.id for c in view.choices if c.id not in (tree.checks.get(view.check) or view).stop_on]
    return [choice.id for choice in view.choices]


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_every_walk_ends_and_keeps_the_rules_on_its_way(id):
    tree, _ = reasoner(id)
    chance = random.Random(id)
    for _ in range(6 if id in TREES else 3):
        walk, journal = begun(id)
        asked, starts = [], 0

        def pick(walk, view):
            if isinstance(view, Question) and view.measures is not None and chance.random() < 0.7:
                walk.reading(chance.uniform(view.measures.low, view.measures.high))
            else:
                others = ["not-sure"] if isinstance(view, Question) and not view.ask_first else []
                walk.answer(chance.choice(harmless(view, tree) + others))

        for view in walk_on(walk, pick):
            if isinstance(view, Question):
                asked.append(view.check)
                assert tree.checks[view.check].by == "owner"
                starts += view.starts
            elif isinstance(view, RemedyOffered):
                starts += 1
                remedies = [tree.events[cause].remedy for cause in view.remedy.split("+")]
                assert all(remedy.kind == "do" and remedy.by == "owner" for remedy in remedies)
            elif not isinstance(view, End | CuredQuestion):
                raise AssertionError(f"unexpected {view}")
        assert tuple(asked[: len(tree.ask_first)]) == tree.ask_first
        assert tree.tries is None or starts - journal_could_not(journal) <= tree.tries
        assert sum(restores(tree, line) for line in journal.lines) <= 1
        assert isinstance(walk.view(), Cured | Referred | HandedOver)


def journal_could_not(journal):
    return sum(line.kind == "tried" and line.answer == "could-not" for line in journal.lines)


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_a_tireless_owner_whom_nothing_cures_is_handed_on(id):
    tree, _ = reasoner(id)
    walk, journal = begun(id)

    def pick(walk, view):
        walk.no_better() if isinstance(view, RemedyOffered) else walk.answer(harmless(view, tree)[0])

    views = list(walk_on(walk, pick))
    assert isinstance(views[-1], Referred | HandedOver)
    assert journal.state == "referred"
    if isinstance(views[-1], Referred):
        assert views[-1].referral.until_help
    else:
        assert views[-1].tree in Library().ids()


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_each_stop_answer_of_each_tree_stops_at_once(id):
    tree, _ = reasoner(id)
    for check in tree.checks.values():
        for answer in check.stop_on:
            walk, journal = begun(id)
            walk.volunteer(check.id, answer)
            assert isinstance(walk.view(), Stopped), (check.id, answer)
            assert walk.view().referrals[0].id == check.refer
            assert journal.state == "stopped"


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_without_an_alarm_monoxide_stands_before_every_start(id):
    tree, _ = reasoner(id)
    if "co-alarm" not in tree.ask_first:
        assert not any("gas" in cause.hazards for cause in tree.causes())
        return
    walk, _ = begun(id)

    def pick(walk, view):
        if isinstance(view, Question) and view.check == "co-alarm":
            walk.answer("none-fitted")
        elif isinstance(view, RemedyOffered):
            walk.no_better()
        else:
            walk.answer(harmless(view, tree)[0])

    for view in walk_on(walk, pick):
        if isinstance(view, RemedyOffered) or (isinstance(view, Question) and view.starts):
            assert "carbon-monoxide" in [caution.id for caution in view.cautions]


@pytest.mark.parametrize("id", SOME_QUICKLY)
def test_a_walk_left_off_at_any_question_stands_there_again(id):
    tree, reason = reasoner(id)
    walk, journal = begun(id)

    def pick(walk, view):
        walk.no_better() if isinstance(view, RemedyOffered) else walk.answer(harmless(view, tree)[0])

    for view in walk_on(walk, pick):
        again = Walk(
            tree, reason, MemoryJournal(), SlowClock(), route=reason.route, entries=tuple(journal.lines)
        )
        assert again.view() == view


def test_the_mains_are_not_restored_twice_though_the_first_was_taken_back():
    tree, _ = reasoner("hook-up-trips")
    walk, journal = begun("hook-up-trips")

    def pick(walk, view):
        if not isinstance(view, RemedyOffered):
            walk.answer(harmless(view, tree)[0])
            return
        walk.no_better()
        if sum(restores(tree, line) for line in journal.lines) == 1 and walk.view().can_go_back:
            walk.back()

    list(walk_on(walk, pick))
    assert sum(restores(tree, line) for line in journal.lines) == 1
    assert any(line.kind == "back" for line in journal.lines)


def test_a_tree_without_restoring_steps_keeps_its_hypotheses_and_their_shares():
    tree, reason = reasoner("hook-up-trips")
    checks = {id: replace(check, restores_mains=id == "just-before") for id, check in tree.checks.items()}
    restoring = [cause.id for cause in tree.causes() if cause.remedy and cause.remedy.restores_mains]
    assert restoring
    bare = without_restoring(replace(tree, checks=checks))
    assert RoomReasoner(bare).ranking(Situation()) == reason.ranking(Situation())
    assert not any(cause.remedy and cause.remedy.restores_mains for cause in bare.causes())
    asked = RoomReasoner(bare).model.check_index
    assert not any(bare.checks[id].restores_mains for id in asked if id not in tree.ask_first)


def test_why_is_answered_with_minutes_and_causes_in_words():
    tree, _ = reasoner("engine-no-crank")
    walk, _ = begun("engine-no-crank")
    for _ in tree.ask_first:
        walk.answer(harmless(walk.view(), tree)[0])
    why = walk.why()
    assert why.saves >= 0
    says = {cause.says for cause in tree.causes()} | {"Something that is not listed here"}
    assert why.separates
    assert set(why.separates) <= says
    assert set(why.leads_to) <= {*tree.checks[walk.view().check].answer_ids(), "not-sure"}


def test_starts_used_up_today_are_known_to_the_real_planner():
    tree, reason = reasoner("heater-no-fire")
    facts = [Finding(fact, fits[0]) for fact, fits in tree.applies_to.items()]
    walk = Walk.begin(
        tree,
        reason,
        MemoryJournal(),
        SlowClock(),
        route=reason.route,
        facts=facts,
        setting=Setting(started_before=3),
    )

    def pick(walk, view):
        walk.answer(harmless(view, tree)[0])

    for view in walk_on(walk, pick):
        assert not isinstance(view, RemedyOffered)
        assert not (isinstance(view, Question) and view.starts)
    assert isinstance(walk.view(), Referred)
