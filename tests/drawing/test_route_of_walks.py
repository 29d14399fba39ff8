"""Cases walked at random by the walking room itself, then followed along the route."""

from __future__ import annotations

import random
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.drawing.route import route_dot
from diagnose.drawing.route_walk import followed
from diagnose.reasoning.graph import route_graph
from diagnose.terms import Settings, Tally
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.past import read_past
from diagnose.walking.reasoner import RoomReasoner, Terms
from diagnose.walking.views import ClearedQuestion, CuredQuestion, End, Question, RemedyOffered, Unsure
from diagnose.walking.walk import NotNow, Walk
from tests.trees.shipped import EVERY_TREE, model_of, route_of, tree_of

TREES = ("hook-up-trips", "heater-no-fire")
OPENED = datetime(2026, 3, 1, 9, tzinfo=UTC)


@cache
def graph_of(id):
    return route_graph(route_of(id), model_of(id), rankings=False)


def walked(id, seed, *, plainly):
    """A case of that tree: answers at random, of which none stops if `plainly`, nor is anything odd done."""
    rng, tree = random.Random(seed), tree_of(id)
    now = OPENED

    def clock():
        nonlocal now
        now += timedelta(seconds=40)
        return now

    journal = MemoryJournal()
    reasoner = RoomReasoner(tree, Terms("owner", Settings(), Tally(), frozenset(EVERY_TREE)))
    walk = Walk.begin(tree, reasoner, journal, clock, route=route_of(id))
    for _ in range(40):
        view = walk.view()
        if isinstance(view, End):
            break
        odd = "" if plainly else rng.choice(["", "", "", "back", "ahead", "not-sure", "could-not"])
        if odd == "back":
            with suppress(NotNow):  # nothing was answered yet
                walk.back(1)
        elif odd == "ahead":
            check = rng.choice([each for each in tree.checks.values() if each.expect and not each.stop_on])
            if check.reading is None:
                walk.volunteer(check.id, rng.choice(check.answer_ids()))
        elif isinstance(view, (Question, Unsure)):
            # Asked once more, a check that nothing has changed answers as before.
            _answer(walk, view, tree, random.Random(f"{seed} {view.check}") if plainly else rng, odd)
        elif isinstance(view, RemedyOffered):
            done = walk.could_not if odd == "could-not" else rng.choice([walk.works_now, walk.no_better])
            done()
        elif isinstance(view, CuredQuestion):
            walk.cured_when(rng.random() < 0.6)
        else:
            assert isinstance(view, ClearedQuestion)
            walk.cleared(True)
    return CaseRecord(
        1,
        tree.id,
        tree.digest,
        "owner",
        walk.state,
        OPENED,
        now,
        referral=journal.referral,
        points_to=journal.points_to,
        entries=tuple(journal.lines),
    )


def _answer(walk, view, tree, rng, odd):
    check = tree.checks.get(view.check) or tree.facts[view.check]
    first = check.id in tree.ask_first
    if check.fact and check.id in tree.applies_to:
        walk.answer(tree.applies_to[check.id][0])
    elif odd == "not-sure" and not first:
        walk.not_sure()
    elif view.measures is not None:
        band = rng.choice(check.bands)
        walk.reading((band.low + band.high) / 2)
    else:
        walk.answer(rng.choice([answer for answer in check.answer_ids() if answer not in check.stop_on]))


@pytest.mark.long
@pytest.mark.parametrize("id", TREES)
@pytest.mark.parametrize("seed", range(4))
def test_what_is_answered_as_asked_stays_on_the_route_to_its_end(id, seed):
    graph, case = graph_of(id), walked(id, seed, plainly=True)
    walk = followed(graph, tree_of(id), case)
    assert walk.off == ()
    assert {"cured": "cured", "referred": "referral"}[case.state] in {
        graph.nodes[at]["kind"].replace("handover", "referral") for at in walk.walked.at
    }


@pytest.mark.long
@pytest.mark.parametrize("id", TREES)
@pytest.mark.parametrize("seed", range(6))
def test_a_way_begins_at_the_start_without_a_gap_and_no_line_of_a_case_is_lost(id, seed):
    graph, tree, case = graph_of(id), tree_of(id), walked(id, seed, plainly=False)
    walk = followed(graph, tree, case)
    at, ways = graph.graph["start"], dict(walk.walked.ways)
    for _ in range(len(ways)):
        (at,) = (to for _, to, answer in graph.out_edges(at, keys=True) if answer == ways[at])
    past = read_past(tree, case.entries)
    on_it = {graph.nodes[node]["of"] for node in ways} | {graph.nodes[node]["of"] for node in walk.walked.at}
    told = " ".join((*walk.beside, *walk.off))
    for line in past.live:
        if line.kind == "finding":
            asked = (tree.checks.get(line.subject) or tree.facts[line.subject]).ask
            assert line.subject in on_it or asked in told
        elif line.kind == "tried":
            says = tree.events[line.subject.split("+")[0]].says
            assert line.subject in on_it or says in told
    taken_back = [line for line in past.lines if line not in past.live and line.kind in ("finding", "tried")]
    assert sum(each.startswith("Taken back: ") for each in walk.beside) == len(taken_back)


def test_a_case_stopped_at_a_danger_question_is_told_whom_to_call():
    tree, graph = tree_of("heater-no-fire"), graph_of("heater-no-fire")
    answers = (("smell-of-gas", "no"), ("co-alarm", "quiet"), ("battery-harmed", "yes"))
    entries = tuple(
        Entry(OPENED, "finding", check, answer, number=number)
        for number, (check, answer) in enumerate(answers, start=1)
    )
    case = CaseRecord(
        1, tree.id, tree.digest, "owner", "stopped", OPENED, OPENED, "", "auto-electrician", entries=entries
    )
    drawn = route_dot(graph, tree, walk=followed(graph, tree, case))
    (stop,) = (line for line in drawn.splitlines() if "penwidth=4" in line)
    assert "STOP, danger. An" in stop
    assert "Whom to call" not in stop
    assert "Whom to call stands" in route_dot(graph, tree).replace("</B>", "").replace(
        '<BR ALIGN="LEFT"/><B>', " "
    )
