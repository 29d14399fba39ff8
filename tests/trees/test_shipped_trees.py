"""What every shipped tree must hold, whatever else is changed in it.

Shares, minutes and expectations are judgement; no test pins them. These pin what somebody's safety rests on:
the order of jump leads, one restoring of the mains, no tools where nobody may use them. Rules of the trade
are common practice, no source, unless a source stands beside them; "from memory" and "second-hand" say what
was not read.
"""

from __future__ import annotations

import re

import pytest

from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.proof import prove
from tests.trees.shipped import (
    COMMON,
    EVERY_TREE,
    ROLES,
    TREES,
    in_order,
    model_of,
    route_of,
    tree_of,
)

every_tree = pytest.mark.parametrize("id", EVERY_TREE)


def instructions(tree):
    """Every text that tells somebody what to do, with the id of where it stands."""
    for check in tree.checks.values():
        if not check.fact:
            yield from ((check.id, text) for text in (check.ask, check.how) if text)
    for cause in tree.causes():
        if cause.remedy.kind == "do":
            yield from ((cause.id, text) for text in (cause.remedy.text, cause.remedy.how) if text)


# What every tree has


NO_PUZZLES = {"alarm-sounded-earlier", "hob-hisses-on"}
"""Dangerous whatever the cause: a few looks, then somebody qualified."""


def test_the_trees_that_are_looked_at_closely_are_shipped():
    assert set(TREES) <= set(EVERY_TREE)


@every_tree
def test_a_tree_is_no_toy(id):
    tree = tree_of(id)
    later = [check for check in tree.checks if check not in tree.ask_first]
    if id in NO_PUZZLES:
        assert len(tree.causes()) >= 3
        assert later
    else:
        assert 6 <= len(tree.causes()) <= 16
        assert 5 <= len(later) <= 10
    assert len(tree.also_said) >= 8


@every_tree
def test_nothing_is_advised_against(id):
    assert tree_of(id).advice == ()


@every_tree
def test_every_cause_says_how_to_prevent_it(id):
    assert [cause.id for cause in tree_of(id).causes() if not cause.prevent] == []


@every_tree
def test_shares_and_what_is_not_listed_make_a_hundred(id):
    tree = tree_of(id)
    assert sum(cause.in_100 for cause in tree.causes()) + tree.not_listed == pytest.approx(100)


@every_tree
def test_a_tree_can_stop_in_the_middle_of_a_walk(id):
    tree = tree_of(id)
    assert [check.id for check in tree.checks.values() if check.stop_on and check.id not in tree.ask_first]


@every_tree
def test_sentences_are_short_enough_to_be_read_aloud(id):
    for where, text in instructions(tree_of(id)):
        for sentence in re.split(r"[.:;?!]\s+", text):
            assert len(sentence.split()) <= 28, (where, sentence)


@pytest.mark.parametrize(
    ("words", "id"),
    [
        ("no warm air", "heater-no-fire"),
        ("clicks but wont turn over", "engine-no-crank"),
        ("bed is wet", "wet-after-washing"),
        ("no water from the taps", "water-pump"),
        ("gas ring goes out", "hob-goes-out"),
        ("trips the post on the site", "hook-up-trips"),
    ],
)
def test_ordinary_words_stand_among_what_people_say(words, id):
    assert words in tree_of(id).also_said


# Safety of the trees


@every_tree
def test_nobody_takes_a_tool_to_gas_mains_fuel_or_a_fridge(id):
    tree = tree_of(id)
    barred = {"gas", "mains", "fuel", "refrigerant"}
    for check in tree.checks.values():
        assert check.hands != "tools" or not check.hazards & barred, check.id
    for cause in tree.causes():
        remedy = cause.remedy
        assert remedy.hands != "tools" or not cause.hazards & barred, cause.id
        if remedy.hands == "tools" and remedy.by == "owner":
            assert not cause.hazards & {"road", "height"}, cause.id


@every_tree
def test_the_referral_of_a_gas_or_mains_cause_is_a_fixed_one(id):
    for cause in tree_of(id).causes():
        if cause.remedy.kind == "refer" and cause.hazards & {"gas", "mains"}:
            assert cause.remedy.text in COMMON.referrals


@pytest.mark.parametrize("id", TREES)
@pytest.mark.parametrize("role", ROLES)
def test_the_route_is_proved(id, role):
    model = model_of(id, role)
    assert prove(route_graph(route_of(id, role), model), model) == (1, 2, 3, 4, 5, 6, 7)


def test_jump_leads_go_on_and_come_off_in_the_one_safe_order():
    # Common practice, no source.
    text = tree_of("engine-no-crank").events["left-on"].remedy.text
    assert "12 V donor" in text
    assert "if the handbook allows" in text
    assert in_order(
        text,
        "Both engines off",
        "Red to the flat battery's plus",
        "donor's plus",
        "Black to the donor's minus",
        "last: to bare engine metal",
        "away from its battery",
        "crank",
        "reverse order",
    )


def test_a_booster_pack_is_off_while_its_clamps_are_put_on_and_taken_off():
    # Common practice, no source.
    text = tree_of("engine-no-crank").events["short-runs"].remedy.text
    assert "if the handbook allows" in text
    assert in_order(
        text,
        "Pack switched off",
        "red clamp on the battery's plus",
        "black on bare engine metal",
        "away from the battery",
        "Switch the pack on and crank",
        "Switch the pack off, then take off black, then red",
    )


def test_a_frozen_or_strange_battery_is_never_charged():
    tree = tree_of("engine-no-crank")
    assert tree.ask_first == ("battery-harmed", "battery-kind", "frost-seen")
    assert {"jump-leads", "exhaust"} <= set(tree.cautions)


@pytest.mark.parametrize("role", ROLES)
def test_the_mains_are_restored_once_at_most_on_any_path(role):
    tree, route = tree_of("hook-up-trips"), route_of("hook-up-trips", role)
    steps = {id for id, check in tree.checks.items() if check.restores_mains}
    steps |= {cause.id for cause in tree.causes() if cause.remedy.restores_mains}
    most = [0] * len(route.nodes)
    for at, node in enumerate(route.nodes):  # every edge leads forward
        for answer, edge in node.edges.items():
            restored = node.of in steps and answer != "could-not"  # what one could not do restores nothing
            most[edge.to] = max(most[edge.to], most[at] + restored)
    assert steps
    assert max(most) == 1


def test_what_an_owner_puts_on_again_says_once():
    # Common practice, no source: a safety switch that has tripped is put back on once, no more.
    for cause in tree_of("hook-up-trips").causes():
        if cause.remedy.kind == "do":
            assert cause.remedy.restores_mains, cause.id
            assert "once" in cause.remedy.text


def test_wet_electrics_and_a_jetted_fridge_stop_the_walk():
    tree = tree_of("wet-after-washing")
    assert tree.checks["water-near-electrics"].refer == "mains-danger"
    assert tree.checks["fridge-vents-jetted"].refer == "gas-engineer"
    assert {"water-near-electrics", "fridge-vents-jetted"} <= set(tree.ask_first)
    assert tree.checks["where-wet"].stop_on == {"fridge"}


def test_a_flue_that_was_covered_or_is_blocked_stops_the_walk():
    tree = tree_of("heater-no-fire")
    assert tree.checks["flue-cover"].refer == "co-suspected"
    assert tree.checks["flue-outside"].refer == "gas-engineer"
    assert tree.events["flue-nest"].remedy.text == "gas-engineer"


# Values of the trade in the trees


def test_the_bands_of_a_rested_battery_follow_the_rule_for_lead_cells():
    # Source: battery handbooks, read second-hand: a cell's volts are its specific gravity + 0.845; 1.225 is
    # 75 %, 1.155 is 25 %, 1.120 is empty. 12.4 V is three quarters; 11.9 V lies between empty and a quarter.
    def volts(gravity):
        return 6 * (gravity + 0.845)

    bands = {band.id: band for band in tree_of("engine-no-crank").checks["rest-volts"].bands}
    assert (bands["flat"].high, bands["low"].high) == (11.9, 12.4)
    assert bands["good"].low == pytest.approx(volts(1.225), abs=0.03)
    assert volts(1.120) < bands["flat"].high < volts(1.155)


def test_cranking_volts_have_the_limit_of_the_trade():
    # Common practice, no source.
    bands = {band.id: band for band in tree_of("engine-no-crank").checks["crank-volts"].bands}
    assert bands["sags"].high == 9.6


def test_a_rested_battery_costs_the_wait_for_its_rest():
    check = tree_of("engine-no-crank").checks["rest-volts"]
    assert "three hours" in check.ask
    assert check.wait == 180


def test_hissing_may_last_as_long_as_a_flame_guard_takes():
    # Source, from memory: EN 30-1-1, a hob's flame guard shuts within 60 to 90 s.
    assert "a minute and a half" in tree_of("hob-goes-out").checks["hisses-after"].how


def test_whoever_puts_the_mains_back_on_has_dry_hands_and_leaves_it_off_if_it_trips_again():
    # Common practice, no source: the one touching the metal from outside is earth for a fault of the lead.
    for cause in ("damp-way-in", "own-appliance", "overload"):
        remedy = tree_of("hook-up-trips").events[cause].remedy
        assert remedy.restores_mains
        said = f"{remedy.text} {remedy.how}".casefold()
        assert "dry hands" in said
        assert "leave it off" in said
    overload = tree_of("hook-up-trips").events["overload"].remedy
    assert "If the wide one with a test button went off, it was no overload" in overload.how
