from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.drawing.route import route_dot, route_pages
from diagnose.drawing.route_chart import route_chart
from diagnose.drawing.route_walk import followed
from diagnose.terms import Answer, Band, Reading

OPENED = datetime(2026, 3, 1, 9, tzinfo=UTC)


def finding(subject, answer, **more):
    return {"kind": "finding", "subject": subject, "answer": answer, **more}


def tried(subject, answer):
    return {"kind": "tried", "subject": subject, "answer": answer}


def case_of(*lines, state="open", **more):
    """A case of the small tree with these lines in its journal."""
    entries = [
        Entry(time=OPENED + timedelta(minutes=n), number=n, **line) for n, line in enumerate(lines, start=1)
    ]
    about = {"case": 7, "symptom": "post-trips", "tree_digest": "0", "role": "owner", "state": state}
    return CaseRecord(**about, opened=OPENED, changed=OPENED, entries=tuple(entries), **more)


@pytest.fixture
def walk_of(tree, graph_of):
    """`walk_of(*lines, ...)`: that case on the owner's route of the small tree, and the route."""
    graph = graph_of(tree)

    def walk(*lines, **more):
        return followed(graph, tree, case_of(*lines, **more)), graph

    return walk


def says(walk, graph, tree):
    return " | ".join(walk.notes(route_chart(graph, tree, 0.0, walked=walk.walked.ways)))


def kinds(walk, graph):
    return sorted(graph.nodes[at]["kind"] for at in walk.walked.at)


def test_the_answers_of_a_case_are_followed_to_its_end(walk_of, tree):
    walk, graph = walk_of(
        finding("look", "wet"),
        tried("lead", "cured"),
        {"kind": "cured-when", "subject": "lead", "answer": "yes"},
        state="cured",
        points_to="lead",
    )
    assert sorted(answer for _, answer in walk.walked.ways) == ["cured", "wet"]
    assert kinds(walk, graph) == ["check", "cured", "remedy"]
    assert says(walk, graph, tree) == "Case 7, opened 1 March 2026: cured."


def test_a_no_to_the_cured_question_is_no_better(walk_of):
    walk, _ = walk_of(
        finding("look", "wet"),
        tried("lead", "cured"),
        {"kind": "cured-when", "subject": "lead", "answer": "no"},
    )
    assert sorted(answer for _, answer in walk.walked.ways) == ["not-cured", "wet"]


def test_a_stopped_case_shows_its_stop(walk_of, tree):
    walk, graph = walk_of(finding("look", "scorched"), state="stopped", referral="electrician")
    assert "stop" in kinds(walk, graph)
    assert says(walk, graph, tree) == "Case 7, opened 1 March 2026: STOPPED FOR DANGER."
    text = route_dot(graph, tree, 0.9, walk=walk)
    (stop,) = (line for line in text.splitlines() if "peripheries=2" in line and "STOP" in line)
    assert "penwidth=4" in stop


def test_danger_said_at_a_question_is_a_stop_off_the_route(walk_of, tree):
    walk, graph = walk_of(
        finding("look", "wet"),
        {"kind": "danger", "subject": "electrician"},
        state="stopped",
        referral="electrician",
    )
    assert says(walk, graph, tree).endswith(
        "Off the route after step 1: | • Danger was said. | • STOP, danger. a qualified electrician"
    )


def test_what_was_taken_back_and_what_was_said_without_being_asked_are_told_beside(walk_of, tree):
    walk, graph = walk_of(
        finding("look", "dry"),
        {"kind": "back", "subject": "1"},
        finding("look", "wet", ahead=True),
        tried("lead", "not-cured"),
    )
    said = says(walk, graph, tree)
    assert "• Said without being asked: Is the lead wet? Wet" in said
    assert "• Taken back: Is the lead wet? Dry" in said
    assert {answer for _, answer in walk.walked.ways} == {"wet", "not-cured"}
    assert walk.walked.found[graph.graph["start"]] == "Not asked, known: Wet"


def test_what_the_route_does_not_have_there_is_off_it(walk_of, tree):
    walk, graph = walk_of(
        finding("look", "wet"), tried("plug+damp", "could-not"), state="referred", referral="workshop"
    )
    said = says(walk, graph, tree)
    assert "Off the route after step 1:" in said
    assert "• The plug is worn and Damp inside, put right: could not" in said
    assert said.endswith("• Refer: a workshop")
    assert {answer for _, answer in walk.walked.ways} == {"wet"}


def test_a_remedy_that_could_not_be_done_is_marked_though_nobody_is_reckoned_to_go_there(walk_of, tree):
    walk, graph = walk_of(
        finding("look", "wet"), tried("lead", "could-not"), state="referred", referral="workshop"
    )
    assert "could-not" in {answer for _, answer in walk.walked.ways}
    assert "could not" in route_dot(graph, tree, 0.9, walk=walk)


def test_a_reading_is_shown_with_its_uncertainty(tree, graph_of):
    measure = replace(
        tree.checks["look"],
        answers=(Answer("low", ""), Answer("good", "")),
        reading=Reading("V", 0.0, 16.0, 0.15),
        bands=(Band("low", 0.0, 11.5), Band("good", 11.5, 16.0)),
        expect={"lead": {"low": 0.9, "good": 0.1}, "otherwise": {"low": 0.1, "good": 0.9}},
        stop_on=frozenset(),
    )
    tree = replace(tree, checks={"look": measure})
    graph = graph_of(tree)
    walk = followed(graph, tree, case_of(finding("look", "low", value=11.2, uncertainty=0.15)))
    assert walk.walked.found == {graph.graph["start"]: "Found: 11.2 ± 0.15 V"}
    shown = route_dot(graph, tree, walk=walk).replace("\N{NO-BREAK SPACE}", " ")
    assert "Found: 11.2 ± 0.15 V" in shown


def test_the_way_is_heavy_and_its_numbers_white_on_black_and_without_a_case_nothing_is(walk_of, tree):
    walk, graph = walk_of(finding("look", "wet"))
    with_case = route_dot(graph, tree, 0.9, walk=walk)
    (question,) = (line for line in with_case.splitlines() if "shape=diamond" in line)
    assert "fillcolor=black" in question
    assert "fontcolor=white" in question
    assert with_case.count("penwidth=6.00") == 2  # into the question, and out of it
    without = route_dot(graph, tree, 0.9)
    assert "fillcolor=black" not in without
    assert "penwidth=6.00" not in without


def test_a_changed_tree_is_said_and_what_it_no_longer_has(walk_of, tree):
    walk, graph = walk_of(finding("gone-check", "yes"))
    assert "The tree has changed" not in says(walk, graph, tree)
    assert "• No longer in the tree: gone-check" in says(walk, graph, tree)
    changed = followed(graph, tree, replace(case_of(finding("look", "wet")), tree_digest="another"))
    assert "The tree has changed since then" in says(changed, graph, tree)


def test_a_case_that_nobody_walked_follows_what_was_found(walk_of, tree):
    walk, graph = walk_of(finding("look", "wet", ahead=True), source="other", source_case="3")
    assert {answer for _, answer in walk.walked.ways} == {"wet"}
    assert "It was not walked here, so the route is followed by what was found." in says(walk, graph, tree)


def test_the_label_of_a_vehicle_shows_as_text(walk_of, tree):
    walk, graph = walk_of(finding("look", "wet"), vehicle='<B>x</B> \\N "\u202e')
    (page,) = route_pages(graph, tree, "a4", walk=walk)
    assert "&lt;B&gt;x&lt;/B&gt; \\\\N &quot;\ufffd" in page.replace("\\\\\\\\", "\\\\")
