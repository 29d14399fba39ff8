"""What a task of a round is worth: worked by hand (docs/rounds-arithmetic.md), and beside SciPy."""

from dataclasses import replace
from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from diagnose.rounds.stakes import Look, Stake
from diagnose.rounds.worth import ranked, saved_by
from tests.rounds.made import task

PUMP = Stake(
    tree="pump-silent",
    causes=("fuse", "seized", "not-listed"),
    shares=(0.50, 0.45, 0.05),
    now=(8.0, 40.0, 240.0),
    later=(20.0, 60.0, 500.0),
    looks=(
        Look("panel", "look", "owner", (0.6, 0.2, 0.0)),
        Look("panel", "controls", "owner", (0.3, 0.4, 0.0)),
        Look("panel", "look", "technician", (1.0, 1.0, 1.0)),
        Look("water-bay", "look", "owner", (1.0, 1.0, 1.0)),
    ),
    lifts={"drained": {"undrained": (1.0, 3.0, 1.0), "all": (1.0, 0.9, 1.0)}},
    applies_to={},
    cases=0.0,
)


def opening(id, at, minutes, *trees, **more):
    return replace(task(id, at, minutes), opens=trees, **more)


FILL = opening("fill", "water-bay", 10, "pump-silent", hands="controls")
PANEL = opening("panel", "panel", 4, "pump-silent")


def worth_of(id, tasks, stakes=(PUMP,), **more):
    found = ranked({each.id: each for each in tasks}, {each.tree: each for each in stakes}, **more)
    return {each.task: each for each in found}[id]


def test_without_a_case_the_figure_is_judgement_and_says_so():
    """By hand: .05 cases a year; .5 x 12 + .45 x 20 + .05 x 260 = 28 minutes a case, 1.4 in all."""
    worth = worth_of("fill", [FILL])
    assert worth.saved == pytest.approx(1.4, abs=1e-9)
    assert worth.per_minute == pytest.approx(0.14, abs=1e-9)
    assert worth.chance == pytest.approx(1 - (10 / 11) ** 0.5, abs=1e-9)
    assert (worth.cases, worth.from_cases, worth.judgement) == (0, 0, True)
    assert [each.cause for each in worth.likely] == ["not-listed", "seized", "fuse"]


def test_the_fleets_own_cases_take_over():
    """By hand: (0.5 + 3) / (10 + 30) = .0875 a year, 2.45 minutes; three quarters of it from cases."""
    worth = worth_of("fill", [FILL], [replace(PUMP, cases=3.0)], vehicle_years=30.0)
    assert worth.saved == pytest.approx(2.45, abs=1e-9)
    assert (worth.cases, worth.from_cases, worth.judgement) == (3, 0.75, False)


@given(st.floats(0, 50), st.floats(0, 500), st.floats(0.01, 1))
@settings(max_examples=10, deadline=None)
def test_the_chance_is_the_one_that_scipy_integrates(cases, years, part):
    """One minus the mean of exp(-rate x part) over the Gamma distribution of the rate."""
    one = replace(PUMP, causes=("it",), shares=(part,), now=(1.0,), later=(2.0,), lifts={}, cases=cases)
    worth = worth_of("fill", [FILL], [one], vehicle_years=years)
    shape, exposure = 0.5 + cases, 10 + years
    none = stats.nbinom.pmf(0, shape, exposure / (exposure + part))
    assert worth.chance == pytest.approx(1 - none)
    rate = stats.gamma(shape, scale=1 / exposure)
    # With rate = q(u) the mean is that over u from 0 to 1.
    mean, _ = integrate.quad(lambda u: exp(-part * rate.ppf(u)), 0, 1, limit=200)
    assert worth.chance == pytest.approx(1 - mean, abs=1e-5)
    assert worth.saved == pytest.approx(part * rate.mean())


def test_who_looks_first_shows_a_part_and_who_tries_it_shows_the_rest():
    """By hand: the panel shows .6 of the fuse (controls and technicians' looks are not its own), .2 of the
    pump: .6 x .5 x 12 + .2 x .45 x 20 = 5.4 of the 28; filling the tank shows the 22.6 that are left.
    """
    panel, fill = worth_of("panel", [PANEL, FILL]), worth_of("fill", [PANEL, FILL])
    assert panel.saved == pytest.approx(0.05 * 5.4, abs=1e-9)
    assert fill.saved == pytest.approx(0.05 * 22.6, abs=1e-9)
    with_hands = worth_of("panel", [replace(PANEL, hands="controls"), FILL])
    assert with_hands.saved == pytest.approx(0.05 * (0.6 * 0.5 * 12 + 0.4 * 0.45 * 20), abs=1e-9)


def test_where_a_tree_has_no_check_at_the_place_a_tenth_is_shown():
    elsewhere = replace(PANEL, at="cab")
    assert worth_of("panel", [elsewhere, FILL]).saved == pytest.approx(0.05 * 2.8, abs=1e-9)


def test_what_is_tried_on_another_round_is_only_glanced_at_on_this_one():
    alone = worth_of("panel", [PANEL])
    beside = worth_of("panel", [PANEL], others={"fill": FILL})
    assert alone.saved == pytest.approx(1.4, abs=1e-9)
    assert beside.saved == pytest.approx(0.05 * 5.4, abs=1e-9)


@pytest.mark.parametrize(
    ("facts", "minutes"),
    [
        ({}, 28),
        ({"drained": "undrained"}, 6 + 3 * 9 + 13),
        ({"drained": "all"}, 6 + 0.9 * 9 + 13),
        ({"months-laid-up": "long"}, 56),
        ({"months-laid-up": "short"}, 14),
        ({"months-laid-up": "season", "country": "uk"}, 28),
    ],
)
def test_the_facts_of_the_vehicle_move_it(facts, minutes):
    """By hand: a vehicle that was not drained has the seized pump three times as often."""
    assert worth_of("fill", [FILL], facts=facts).saved == pytest.approx(0.05 * minutes, abs=1e-9)


def test_a_tree_or_task_for_another_vehicle_counts_for_nothing_and_for_half_where_unknown():
    caravans = replace(PUMP, applies_to={"build": ("caravan",)})
    assert worth_of("fill", [FILL], [caravans], facts={"build": "caravan"}).saved == pytest.approx(1.4)
    assert worth_of("fill", [FILL], [caravans]).saved == pytest.approx(0.7)
    assert worth_of("fill", [FILL], [caravans], facts={"build": "motorhome"}).saved == 0
    other = replace(FILL, applies_to={"build": frozenset({"caravan"})})
    assert worth_of("fill", [other], facts={"build": "motorhome"}).chance == 0


def test_the_most_minutes_saved_per_minute_come_first_and_the_unknown_last():
    papers = task("papers", "cab", 1)
    found = ranked({each.id: each for each in (papers, FILL, PANEL)}, {PUMP.tree: PUMP})
    assert [each.task for each in found] == ["fill", "panel", "papers"]
    assert saved_by(found)["papers"] == 0
    assert sum(saved_by(found).values()) == pytest.approx(1.4, abs=1e-9)
