"""Figures in the shipped trees against what is known of batteries and gases.

Sources, named at each check. Where a figure is a rule of the trade that nobody publishes, the tree has to say
"common practice, no source", and that is all that can be checked.
"""

from __future__ import annotations

import re
from math import log10

import pytest

from diagnose.knowledge.collection import Library

LIBRARY = Library()


def trees():
    return [LIBRARY.tree(id) for id in LIBRARY.ids()]


def texts(tree):
    """Every text of a tree that somebody reads as an instruction."""
    for check in tree.checks.values():
        yield from (check.ask, check.how)
    for event in tree.causes():
        if event.remedy is not None and event.remedy.kind == "do":
            yield from (event.remedy.text, event.remedy.how)


def rested_volts(specific_gravity):
    """Open-circuit volts of a flooded 12 V lead battery: six cells of specific gravity + 0.845 V.

    Source: handbooks of battery makers, read second-hand.
    """
    return 6 * (specific_gravity + 0.845)


# Specific gravity at 25 °C by charge. Source: handbooks of battery makers, read second-hand.
GRAVITY = {100: 1.265, 75: 1.225, 50: 1.190, 25: 1.155, 0: 1.120}


def test_the_rule_for_rested_volts_gives_the_printed_ones():
    printed = {100: 12.66, 75: 12.42, 50: 12.21, 25: 12.00, 0: 11.79}
    for charge, volts in printed.items():
        assert rested_volts(GRAVITY[charge]) == pytest.approx(volts, abs=0.006)


def test_a_battery_is_called_good_from_three_quarters_and_flat_near_empty():
    bands = {band.id: band for band in LIBRARY.tree("engine-no-crank").checks["rest-volts"].bands}
    assert bands["good"].low == pytest.approx(rested_volts(GRAVITY[75]), abs=0.05)
    assert rested_volts(GRAVITY[0]) < bands["flat"].high < rested_volts(GRAVITY[25])


def test_the_question_about_frost_lies_on_the_warm_side_of_the_freezing_point():
    # Source: ordnance lesson OD1002 (read second-hand): acid of specific gravity 1.10 freezes at -7 °C.
    freezes_at, volts = -7.0, rested_volts(1.10)
    ask = LIBRARY.tree("engine-no-crank").checks["frost-seen"].ask
    (asked,) = (float(number) for number in re.findall(r"[-−](\d+) °C", ask.replace("−", "-")))
    assert freezes_at < -asked < 0
    assert volts == pytest.approx(11.67, abs=0.006)
    assert volts < rested_volts(GRAVITY[0])  # only an empty battery freezes so early


def boils_at(a, b, c):
    """Boiling point in °C at 101.325 kPa by the Antoine equation, log10(p/bar) = A - B/(T/K + C)."""
    return b / (a - log10(1.01325)) - c - 273.15


@pytest.mark.parametrize(
    ("gas", "antoine", "boiling"),
    [
        # Coefficients of the NIST Chemistry WebBook, from memory.
        ("Butane", (4.35576, 1175.581, -2.071), -0.5),
        ("propane", (3.98292, 819.296, -24.417), -42.1),
    ],
)
def test_what_the_trees_say_of_boiling_gas_is_what_a_vapour_pressure_gives(gas, antoine, boiling):
    assert boils_at(*antoine) == pytest.approx(boiling, abs=0.7)
    said = [source for tree in trees() for source in tree.sources if gas in source]
    assert said
    for source in said:
        (number,) = re.findall(gas + r"[^-−;]* (?:at|about) [-−](\d+(?:\.\d+)?) °C", source)
        assert -float(number) == pytest.approx(boiling, abs=0.2)


def test_butane_is_called_cold_only_where_its_pressure_head_is_nearly_gone():
    # By the same equation: at 5 °C butane has some 20 kPa over the air; a regulator wants 3 kPa and a flow.
    a, b, c = 4.35576, 1175.581, -2.071
    head = (10 ** (a - b / (273.15 + 5 + c)) - 1.01325) * 100
    assert 0 < head < 30
    for tree in trees():
        for text in texts(tree):
            assert all(int(number) <= 5 for number in re.findall(r"butane under (\d+) °C", text))


def test_a_knob_is_held_no_longer_than_the_flame_guard_may_take():
    # Source, from memory: EN 30-1-1 gives a hob's flame guard 20 s to hold.
    held = [
        int(number)
        for id in ("hob-goes-out", "heater-no-fire")
        for text in texts(LIBRARY.tree(id))
        for number in re.findall(r"(?:held|hold|pressed)[^.]*?(\d+) seconds", text)
    ]
    assert held
    assert max(held) <= 20


def test_every_tree_says_where_its_shares_come_from():
    for tree in trees():
        assert any("judgement" in source for source in tree.sources), tree.id


def test_a_source_is_named_or_said_to_be_missing():
    wanted = ("judgement", "common practice, no source", "from memory", "second-hand", "computed from")
    for tree in trees():
        for source in tree.sources:
            assert any(word in source for word in wanted), (tree.id, source)
