"""Each answer that tells of a danger of the trade ends in a stop, tree by tree, and nothing follows."""

from __future__ import annotations

import pytest

from diagnose.terms import NOT_SURE, Finding, Step
from diagnose.walking.answers import Answers
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reckoning import next_for
from diagnose.walking.views import Stopped, Unsure
from diagnose.walking.walk import NotNow, Walk
from tests.trees.asked import asked, harmless, stop_answers, told_by
from tests.trees.dangers import ASKED_FIRST, DANGERS, FIXED_DANGERS, GAS
from tests.trees.shipped import COMMON, EVERY_TREE, ROLES, TREES, route_of, tree_of
from tests.walking.small_trees import HandClock, Order

EVERY_STOP = [(id, check.id, answer.id) for id in EVERY_TREE for check, answer in stop_answers(tree_of(id))]
every_stop = pytest.mark.parametrize(("id", "check", "answer"), EVERY_STOP)


# The list


@pytest.mark.parametrize(("id", "words", "whom"), DANGERS)
def test_each_danger_of_the_trade_is_an_answer_that_stops(id, words, whom):
    found = told_by(tree_of(id), words)
    assert found, f"nothing in {id} that stops speaks of: {words}"
    assert {check.refer for check, _ in found} <= whom


def test_the_list_speaks_of_every_tree():
    assert {id for id, _, _ in DANGERS} | set(ASKED_FIRST) == set(EVERY_TREE)


def test_words_that_no_tree_has_are_not_found():
    assert told_by(tree_of("hob-goes-out"), "polarity lamp, wrong") == []


@pytest.mark.parametrize("fixed", FIXED_DANGERS)
def test_the_four_danger_questions_name_every_danger_and_stop_on_it(fixed):
    words, referral = FIXED_DANGERS[fixed]
    check = COMMON.checks[fixed]
    told = f"{check.ask} {check.how} {check.answers[-1].says}".lower()
    assert [word for word in words if not all(part in told for part in word.split())] == []
    assert check.stop_on == {check.answers[-1].id}
    assert (check.refer, check.not_sure, check.hands) == (referral, 0, "look")


@pytest.mark.parametrize("id", ASKED_FIRST)
def test_a_tree_asks_the_danger_questions_of_its_hazards_before_anything_else(id):
    first = tree_of(id).ask_first
    wanted = [check for check in FIXED_DANGERS if check in first]
    assert set(ASKED_FIRST[id]) <= set(wanted)
    assert list(first[: len(wanted)]) == wanted


# What such an answer leads to


@every_stop
def test_a_walk_that_is_told_so_stops_with_that_referral_and_nothing_after_it(id, check, answer):
    tree = tree_of(id)
    walk, journal = asked(tree, check)
    stopped = walk.answer(answer)
    assert isinstance(stopped, Stopped)
    assert [referral.id for referral in stopped.referrals] == [tree.checks[check].refer]
    assert (journal.state, journal.referral) == ("stopped", tree.checks[check].refer)
    assert tree.checks[check].ask in stopped.because
    assert stopped.first.startswith("Stop here.")
    for onward in (
        walk.back,
        walk.not_sure,
        walk.leave_off,
        lambda: walk.answer(harmless(tree.checks[check])),
    ):
        with pytest.raises(NotNow):
            onward()
    assert walk.view() == stopped


@every_stop
def test_told_ahead_it_stops_the_walk_before_any_question(id, check, answer):
    tree = tree_of(id)
    found = Finding(check, answer)
    walk = Walk.begin(tree, Order(tree), MemoryJournal(), HandClock(), findings=[found])
    assert isinstance(walk.view(), Stopped)
    assert [referral.id for referral in walk.view().referrals] == [tree.checks[check].refer]
    # The same file of answers, reckoned and not walked; no arithmetic is asked before a stop.
    assert next_for(tree, None, Answers((found,)))[0] == Step("stop", tree.checks[check].refer)


@pytest.mark.parametrize("id", [id for id in EVERY_TREE if tree_of(id).ask_first])
def test_not_sure_at_a_danger_question_stops_too(id):
    tree = tree_of(id)
    for check in tree.ask_first:
        walk, _ = asked(tree, check)
        assert isinstance(walk.answer(NOT_SURE), Unsure)
        stopped = walk.answer(NOT_SURE)
        assert isinstance(stopped, Stopped)
        assert [referral.id for referral in stopped.referrals] == [tree.checks[check].refer]


@pytest.mark.parametrize("id", EVERY_TREE)
def test_the_word_danger_stops_at_every_danger_question_and_after_them(id):
    tree = tree_of(id)
    for check in (*tree.ask_first, next(each for each in tree.checks if each not in tree.ask_first)):
        if not tree.checks[check].fact:
            walk, journal = asked(tree, check)
            assert isinstance(walk.danger(), Stopped)
            assert journal.state == "stopped"


@pytest.mark.parametrize(
    "id", [pytest.param(id, marks=[] if id in TREES else pytest.mark.long) for id in EVERY_TREE]
)
@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_on_every_route_such_an_answer_leads_to_its_stop(id, role):
    tree, route = tree_of(id), route_of(id, role)
    stops = {(check.id, answer.id): check.refer for check, answer in stop_answers(tree)}
    seen = set()
    for node in route.nodes:
        if node.kind == "check":
            for answer, edge in node.edges.items():
                if (node.of, answer) in stops:
                    end = route.nodes[edge.to]
                    assert (end.kind, end.of, dict(end.edges)) == ("stop", stops[node.of, answer], {})
                    seen.add((node.of, answer))
    assert {pair for pair in stops if pair[0] in tree.ask_first} <= seen


@pytest.mark.parametrize("id", ["hob-hisses-on", "alarm-sounded-earlier"])
def test_what_is_dangerous_whatever_the_cause_lights_no_gas(id):
    tree = tree_of(id)
    assert all(check.hands == "look" and not check.starts for check in tree.checks.values() if not check.fact)
    if id == "hob-hisses-on":
        assert {node.of for node in route_of(id).nodes if not node.edges} <= GAS


@pytest.mark.parametrize("id", ["absorption-fridge", "damp-musty"])
def test_ammonia_sends_everybody_out(id):
    text = tree_of(id).referrals["ammonia-escape"].until_help
    assert text.startswith("All out into fresh air")
    assert "Nobody goes back in" in text


def test_a_stop_that_sends_everybody_out_says_so_first():
    for id, check, answer in EVERY_STOP:
        tree = tree_of(id)
        walk, _ = asked(tree, check)
        stopped = walk.answer(answer)
        if any(referral.until_help.startswith("All out") for referral in stopped.referrals):
            assert "Everybody out" in stopped.first, (id, check, answer)


def test_a_stop_wins_over_everything_else_that_was_found():
    tree = tree_of("heater-no-fire")
    found = [Finding(id, harmless(tree.checks[id])) for id in tree.ask_first]
    found += [Finding("panel-shows", "idle"), Finding("hob-flame", "yellow")]
    assert next_for(tree, None, Answers(tuple(found)))[0] == Step("stop", "gas-engineer")
