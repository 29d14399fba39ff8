"""`walk ID --answers FILE --json`: the document's fixed shape, and what comes next, on the shipped trees."""

from __future__ import annotations

import json
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.collection import Library
from diagnose.walking.answers import Answers, read_answers
from diagnose.walking.reasoner import RoomReasoner, Terms
from diagnose.walking.reckoning import reckon
from tests.trees.shipped import routes

FIRST = "smell-of-gas: no\nco-alarm: quiet\nbattery-harmed: no\nflue-cover: bare\nflue-outside: clear\n"


@cache
def reasoner(id):
    tree = Library().tree(id)
    return tree, RoomReasoner(tree, Terms(other_trees=Library().ids()), routes())


def document(id, text):
    tree, reason = reasoner(id)
    return reckon(tree, reason, read_answers(text, "found.yaml", tree))


def test_the_document_has_its_fixed_shape():
    found = document("heater-no-fire", FIRST + "hob-flame: none\n")
    assert list(found) == ["symptom", "ranking", "next", "findings"]
    assert found["symptom"] == "heater-no-fire"
    assert all(list(each) == ["cause", "says", "share", "low", "high"] for each in found["ranking"])
    assert json.loads(json.dumps(found)) == found


def test_the_ranking_holds_every_hypothesis_unrounded_in_falling_share():
    tree, _ = reasoner("heater-no-fire")
    shares = [each["share"] for each in document("heater-no-fire", FIRST)["ranking"]]
    assert len(shares) == len(tree.cut_sets) + 1
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1, abs=1e-12)
    assert any(share != round(share, 6) for share in shares)


def test_a_danger_question_that_was_not_answered_is_next_in_order():
    lines = FIRST.splitlines()
    for number, line in enumerate(lines):
        others = "\n".join(lines[:number] + lines[number + 1 :])
        step = document("heater-no-fire", others)["next"]
        assert (step["kind"], step["id"]) == ("check", line.split(":")[0])


@pytest.mark.parametrize(
    "text", ["hob-flame: yellow", FIRST + "hob-flame: yellow", "hob-flame: yellow\n" + FIRST]
)
def test_a_stop_answer_anywhere_is_the_stop_whatever_else_stands_there(text):
    step = document("heater-no-fire", text)["next"]
    assert (step["kind"], step["id"]) == ("stop", "gas-engineer")


def test_not_sure_at_a_danger_question_is_the_stop():
    step = document("heater-no-fire", FIRST.replace("smell-of-gas: no", "smell-of-gas: not-sure"))["next"]
    assert (step["kind"], step["id"]) == ("stop", "gas-escape")


def test_of_several_stops_the_firmest_leads():
    step = document("heater-no-fire", "hob-flame: yellow\nco-alarm: sounds-or-ill\n")["next"]
    assert (step["kind"], step["id"]) == ("stop", "co-suspected")


def test_a_vehicle_that_the_tree_is_not_for_is_referred_and_told_why():
    step = document("heater-no-fire", FIRST + "heater-fuel: diesel\n")["next"]
    assert step["kind"] == "referral"
    assert "This tree is for: Gas" in step["because"]


def test_a_stop_tells_whom_to_call_and_what_to_do_until_help_comes():
    step = document("heater-no-fire", "smell-of-gas: yes")["next"]
    assert "No switch, flame or engine" in step["until_help"]
    assert step["to"]


def test_after_the_danger_questions_the_next_step_is_one_that_the_route_takes():
    _, reason = reasoner("heater-no-fire")
    route = reason.route()
    node = route.nodes[route.start]
    for answer in ("no", "quiet", "no", "bare", "clear"):
        node = route.nodes[node.edges[answer].to]
    step = document("heater-no-fire", FIRST)["next"]
    assert (step["kind"], step["id"]) == (node.kind, node.of)


def test_a_remedy_that_failed_is_not_next_again_and_its_cause_sinks():
    before = document("heater-no-fire", FIRST)
    leading = next(each for each in before["ranking"] if each["cause"] == "cylinder-empty")
    after = document("heater-no-fire", FIRST + "cylinder-empty: not-cured\n")
    sunk = next(each for each in after["ranking"] if each["cause"] == "cylinder-empty")
    assert sunk["share"] < leading["share"] / 5
    assert after["findings"][-1] == {"remedy": "cylinder-empty", "answer": "not-cured"}


def test_could_not_is_no_evidence():
    before = document("heater-no-fire", FIRST)["ranking"]
    assert document("heater-no-fire", FIRST + "cylinder-empty: could-not\n")["ranking"] == before


def test_not_sure_is_no_evidence():
    before = document("heater-no-fire", FIRST)["ranking"]
    assert document("heater-no-fire", FIRST + "hob-flame: not-sure\n")["ranking"] == before


@given(
    st.permutations(
        [
            *FIRST.splitlines(),
            "hob-flame: weak",
            "panel-shows: locked",
            "cylinder-empty: could-not",
            "lock-out: not-cured",
        ]
    )
)
@settings(max_examples=10)
def test_the_order_of_findings_changes_nothing(lines):
    reference = "\n".join(sorted(lines))
    assert document("heater-no-fire", "\n".join(lines)) == document("heater-no-fire", reference)


@pytest.mark.parametrize("id", [id for id in Library().ids() if Library().tree(id).ask_first])
def test_with_nothing_known_every_shipped_tree_begins_with_its_first_danger_question(id):
    tree, reason = reasoner(id)
    step = reckon(tree, reason, Answers())["next"]
    assert (step["kind"], step["id"]) == ("check", tree.ask_first[0])
