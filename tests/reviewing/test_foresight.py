"""What is said of many cases at once is what a model made anew before each of them says."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from diagnose.cases.confirmed import ConfirmedCase
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.foretelling import PastCase, foretold
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reviewing import history
from diagnose.reviewing.history import TreeHistory, group_of
from diagnose.terms import Settings, Situation
from diagnose.walking.past import read_past
from tests.reasoning.by_hand import cause, check, content_of, do, faults, gate
from tests.reasoning.made_up_trees import read
from tests.reviewing.made_up_past import MadeUp, Walker, fill, made_up
from tests.reviewing.plainly import in_order, shares_of

pytestmark = pytest.mark.usefixtures("without_minutes")
OVER = ("cured", "referred", "stopped")


def history_of(tree, past, settings):
    over = {}
    for each in past:
        if each.record.state in OVER:
            group = group_of(each.record.state, each.record.opened.year, settings)
            over.setdefault(group, []).append(each.record.opened.timestamp())
    return TreeHistory(tree, settings, {group: np.sort(times) for group, times in over.items()})


def said_of(tree, past, settings=Settings()):  # noqa: B008
    """The shares of each confirmed case of a past, in order."""
    told = history_of(tree, past, settings)
    parts = [
        told.take(ConfirmedCase(each.record, each.on), place) for place, each in enumerate(in_order(past))
    ]
    parts.append(told.rest())
    return np.concatenate([part.learned.shares for part in parts if part is not None])


@pytest.mark.parametrize("half_life", [None, 0.7])
@pytest.mark.parametrize("seed", [1, 2])
def test_each_case_is_foreseen_as_by_a_model_of_all_before_it(tree, past_of, seed, half_life, monkeypatch):
    """Endings weigh unequally, outcomes come late and not at all, and blocks end in mid-history."""
    monkeypatch.setattr(history, "AT_ONCE", 17)
    past, settings = past_of(70, seed), Settings(half_life=half_life)
    said = said_of(tree, past, settings)
    cases = in_order(past)
    assert len({each.record.state for each in cases}) > 1
    assert len(said) == len(cases) > 35
    for at in (0, 1, 16, 17, 33, 34, len(cases) - 1):
        wanted = shares_of(tree, past, cases[at], settings)
        assert said[at] == pytest.approx(wanted, rel=1e-9, abs=1e-14), at


def test_where_every_outcome_is_told_it_is_the_foretelling_of_the_reasoning(tree, past_of):
    """`reasoning.foretelling` counts every case alike: one ending, everybody told at once."""
    past = [
        MadeUp(replace(each.record, state="cured", opened=each.on), each.on)
        for each in past_of(20, 3, told={"cured": 1.0, "referred": 1.0, "stopped": 1.0})
    ]
    cases = [
        PastCase(read_past(tree, each.record.entries).situation, each.record.cause) for each in in_order(past)
    ]
    assert said_of(tree, past) == pytest.approx(foretold(tree, cases).shares, rel=1e-9, abs=1e-14)


@pytest.mark.parametrize("seed", range(2))
def test_shipped_trees_with_readings_and_danger_questions(seed, monkeypatch):
    monkeypatch.setattr(history, "AT_ONCE", 9)
    rng = np.random.default_rng(seed)
    tree = Library().tree("engine-no-crank")
    assert any(each.reading for each in tree.checks.values())
    model = build_model(tree)
    past = list(made_up([Walker(model, rng, route=straight(model))], rng, 20))
    cases, said = in_order(past), said_of(tree, past)
    read = [line for each in cases for line in each.record.entries if line.value is not None]
    assert len(read) > 3
    for at, case in enumerate(cases):
        assert said[at] == pytest.approx(shares_of(tree, past, case), rel=1e-9, abs=1e-14)


def straight(model):
    """A route that asks everything in the file's order, then refers: nothing is compiled for it."""
    from diagnose.reasoning.route import Edge, Route, RouteNode

    asked = [table.check for table in model.checks]
    shares = tuple(model.prior)
    nodes = []
    for at, each in enumerate(asked):
        onward = {
            answer: Edge(len(asked) + 1 if answer in each.stop_on else at + 1, 0.5)
            for answer in (*each.answer_ids(), "not-sure")
        }
        nodes.append(RouteNode("check", each.id, onward, 1.0, shares))
    nodes.append(RouteNode("referral", model.tree.refer_to, {}, 1.0, shares))
    nodes.append(RouteNode("stop", "workshop", {}, 1.0, shares))
    return Route(tuple(nodes), model.ids)


# Files that have changed since ----------------------------------------------------------------------------


def renamed_tree():
    """Two causes that make it only together, an old id for a cause and a check, a remedy that may fail."""
    return read(
        content_of(
            faults(
                worn=cause(30, do(cures=0.6), was=["old-worn"]),
                both=gate("all_of", 20, wet=cause(), frost=cause(was=["cold"])),
                branch=gate("any_of", one=cause(15), two=cause(15)),
            ),
            {
                "look": check(was=["glance"], expect={"worn": {"one": 0.8}, "branch": {"one": 0.3}}),
                "hear": check(expect={"both": {"two": 0.9}}),
            },
        ),
        "renamed",
    )


def test_old_ids_lost_answers_and_remedies_in_vain_count_as_in_a_ranking():
    tree = renamed_tree()
    start = datetime(2026, 1, 1, tzinfo=UTC)
    told = [
        ("old-worn", [("finding", "glance", "one"), ("finding", "gone", "yes")]),
        ("cold+wet", [("finding", "look", "two"), ("tried", "old-worn", "not-cured")]),
        ("worn", [("finding", "look", "one"), ("finding", "hear", "three")]),
        (
            "one",
            [("finding", "look", "not-sure"), ("finding", "hear", "one"), ("tried", "worn", "not-cured")],
        ),
        ("not-listed", [("finding", "look", "two"), ("finding", "look", "one"), ("back", "2", None)]),
        ("two", [("tried", "one", "could-not"), ("finding", "look", "one")]),
    ]
    past = []
    for number, (of, lines) in enumerate(told, start=1):
        on = start + timedelta(days=number)
        journal = tuple(
            Entry(on, kind, subject, answer, number=at)
            for at, (kind, subject, answer) in enumerate(lines, start=1)
        )
        record = replace(blank(tree), case=number, cause=of, opened=on, entries=journal)
        past.append(MadeUp(record, on + timedelta(hours=1)))
    said = said_of(tree, past)
    for at, case in enumerate(past):
        assert said[at] == pytest.approx(shares_of(tree, past, case), rel=1e-12)
    # Something was learned under the old ids, or the rest would prove nothing.
    assert not np.allclose(said[4], posterior(build_model(tree), Situation()))


def blank(tree):
    from diagnose.cases.records import CaseRecord

    now = datetime(2026, 1, 1, tzinfo=UTC)
    return CaseRecord(1, tree.id, tree.digest, "owner", "cured", now, now, confirmed=True)


def test_the_last_case_is_foreseen_from_just_what_the_store_says_then(tree, past_of, tmp_path):
    """The sums that the store keeps by itself, with all its cases and their rates of return, are the same."""
    now = datetime(2027, 1, 1, tzinfo=UTC)
    past = past_of(60, 5)
    last = replace(past[0].record, case=0, state="open", opened=now, entries=past[0].record.entries[:2])
    for settings in (Settings(), Settings(half_life=1.5)):
        with open_store(str(tmp_path / f"{settings.half_life}.sqlite")) as store:
            fill(store, past)
            tally = store.tally(tree.id, now, settings.half_life)
        model = build_model(tree, settings=settings, tally=tally)
        wanted = posterior(model, read_past(tree, last.entries).situation)
        said = said_of(tree, [*past, MadeUp(replace(last, cause="pump"), now)], settings)
        assert said[-1] == pytest.approx(wanted, rel=1e-9)
