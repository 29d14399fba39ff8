from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.drawing.branches import Shares, branches
from diagnose.drawing.learned import learned
from diagnose.reasoning.hypotheses import cut_set_in_100
from diagnose.terms import NOT_LISTED, TOP, Event, Settings, Tally
from tests.trees.shipped import TREES, tree_of


def kinds(branch):
    return [(one.kind, one.id) for one in branch.all()]


def test_an_event_happens_in_as_many_vehicles_as_the_cut_sets_that_make_it_happen(tree):
    shares = Shares(tree)
    assert {id: shares.of(id) for id in tree.events} == {
        TOP: 95.0,
        "lead": 60.0,
        "joint": 35.0,
        "plug": 35.0,
        "damp": 35.0,
    }
    assert shares.of("plug", "damp") == 35.0
    assert shares.of("lead", "damp") == 95.0


def test_of_several_ways_to_one_cause_each_counts_it_and_the_symptom_counts_it_once(shared):
    shares = Shares(shared)
    assert (shares.of("wet"), shares.of("old"), shares.of(TOP)) == (70.0, 60.0, 90.0)


@pytest.fixture
def shared(tree):
    """`both` (40) below `wet` (with 30 of its own) and below `old` (with 20 of its own)."""
    lead = tree.events["lead"]
    causes = {
        id: replace(lead, id=id, says=id, in_100=share) for id, share in (("a", 30), ("both", 40), ("b", 20))
    }
    events = {
        TOP: Event(TOP, "It trips", "any_of", ("wet", "old")),
        "wet": Event("wet", "Wet", "any_of", ("a", "both")),
        "old": Event("old", "Old", "any_of", ("both", "b")),
        **causes,
    }
    return replace(tree, events=events, cut_sets=(("a",), ("both",), ("b",)))


def test_what_stands_in_two_places_is_drawn_at_the_first_and_led_to_from_the_other(shared):
    drawn = branches(shared)
    assert kinds(drawn) == [
        *(("event", TOP), ("event", "wet"), ("cause", "a"), ("cause", "both")),
        *(("event", "old"), ("transfer", "both"), ("cause", "b"), ("not-listed", NOT_LISTED)),
    ]
    assert [(one.kind, one.mark) for one in drawn.all() if one.mark] == [("cause", "A"), ("transfer", "A")]


def test_what_is_rarer_is_folded_to_one_box_a_gate_that_says_how_many_and_how_much(shared):
    assert kinds(branches(shared, 0.25)) == kinds(branches(shared))  # one alone is never folded
    drawn = branches(shared, 0.45)
    assert kinds(drawn)[1:5] == [("event", "wet"), ("folded", "wet"), ("event", "old"), ("folded", "old")]
    folded = [(one.causes, one.share) for one in drawn.all() if one.kind == "folded"]
    assert folded == [(2, 70.0), (2, 60.0)]
    whole = [one for one in branches(shared, 0.75).all() if one.kind == "folded"]
    assert [(one.causes, one.share) for one in whole] == [(3, 90.0)]


def test_with_a_stores_cases_shares_are_the_rankings_prior_and_each_event_has_its_cases(tree):
    # Prior: (strength * in_100 / sum + cases) / (strength + all cases), docs/arithmetic.md.
    cause, *_ = tree.cut_sets
    tally = Tally({"+".join(cause): 3.0, NOT_LISTED: 1.0}, {}, {})
    past = learned(tree, Settings(), tally, frozenset())
    total = sum(cut_set_in_100(tree).values()) + tree.not_listed
    wanted = {causes: tree.strength * figure / total for causes, figure in cut_set_in_100(tree).items()}
    wanted[cause] += 3
    hidden = tree.strength * tree.not_listed / total + 1
    of_100 = 100 / (tree.strength + 4)
    assert past.in_100 == pytest.approx({causes: n * of_100 for causes, n in wanted.items()})
    top = branches(tree, past=past)
    assert top.share == pytest.approx(100)
    assert top.met == "4 of 4 cases"
    drawn = {branch.id: branch for branch in top.all()}
    assert (drawn[NOT_LISTED].share, drawn[NOT_LISTED].met) == (
        pytest.approx(hidden * of_100),
        "1 of 4 cases",
    )
    for one in cause:
        assert drawn[one].met == "3 of 4 cases"
    assert branches(tree, past=learned(tree, Settings(), Tally(), frozenset())) == branches(tree)


def test_inputs_of_an_and_gate_are_never_folded(tree):
    assert ("folded", "joint") not in kinds(branches(tree, 0.4))
    top = [(one.kind, one.causes, one.share) for one in branches(tree, 0.9).below]
    assert top == [("folded", 3, 95.0), ("not-listed", 1, 5.0)]


def test_a_folded_box_names_every_hazard_that_is_in_it(tree):
    (folded,) = [one for one in branches(tree, 0.9).all() if one.kind == "folded"]
    assert folded.hazards == {"mains"}


@pytest.mark.parametrize("down_to", [0.0, 0.03, 0.08, 0.3])
def test_however_much_is_folded_no_cause_and_no_share_is_lost(down_to):
    """Every shipped tree has but OR gates and no cause twice, so its leaves add up to all vehicles."""
    for tree in map(tree_of, TREES):
        leaves = [one for one in branches(tree, down_to).all() if one.gate is None]
        assert sum(one.share for one in leaves) == pytest.approx(
            sum(cause.in_100 for cause in tree.causes()) + tree.not_listed
        )
        assert sum(one.causes for one in leaves) == len(tree.causes()) + 1
        hazards = frozenset().union(*(one.hazards for one in leaves))
        assert hazards == frozenset().union(*(cause.hazards for cause in tree.causes()))


def test_a_chain_of_thousands_of_events_is_drawn_without_running_out_of_stack(tree):
    lead = tree.events["lead"]
    chain = {f"e{n}": Event(f"e{n}", "On", "any_of", (f"e{n + 1}",)) for n in range(3000)}
    events = {TOP: Event(TOP, "It trips", "any_of", ("e0",)), **chain, "e3000": replace(lead, id="e3000")}
    drawn = branches(replace(tree, events=events, cut_sets=(("e3000",),)))
    assert len(list(drawn.all())) == 3003
    assert drawn.share == 65.0
