from __future__ import annotations

from functools import cache

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terms import Check, Finding, Reading
from diagnose.walking.reading_meanings import BATTERY_OF, EXPLAINED, LEAD, meaning_of_reading

ENGINE, LIVING = "engine-electrics", "habitation-electrics"


def check(id, unit="V", uncertainty=0.05):
    return Check(id, "?", "", "look", "owner", 1, (), Reading(unit, 0, 60, uncertainty))


@cache
def shipped():
    """Every check that takes a reading, with its tree."""
    library = Library()
    trees = [library.tree(id) for id in library.ids()]
    return [(tree, each) for tree in trees for each in tree.checks.values() if each.reading is not None]


def told(value, findings=(), id="rest-volts", system=ENGINE):
    return meaning_of_reading(check(id), system, value, {each.check: each for each in findings})


def test_a_resting_voltage_is_said_as_a_charge():
    assert told(12.18, [Finding("starter-battery", "flooded")]) == "12.18 V is about 46 % charged."


def test_the_kind_of_the_battery_in_question_counts():
    kinds = [Finding("starter-battery", "flooded"), Finding("battery", "agm")]
    assert told(12.4, kinds, system=LIVING) == "12.4 V is about 62 % charged."
    assert told(12.4, kinds, system=ENGINE) == "12.4 V is about 73 % charged."


@pytest.mark.parametrize("findings", [[], [Finding("starter-battery", "unknown")]])
def test_of_an_unknown_kind_it_is_said_what_was_taken(findings):
    assert told(12.18, findings) == "12.18 V is about 46 % charged, if it is a plain lead battery."


@pytest.mark.parametrize(
    "fact", [Finding("starter-battery", "lithium"), Finding("system-volts", "twenty-four")]
)
def test_of_a_lithium_or_a_24_volt_battery_nothing_is_said(fact):
    assert told(13.0, [fact]) == ""


def test_a_voltage_that_no_resting_battery_shows_is_pointed_out():
    said = told(13.5, [Finding("starter-battery", "gel")])
    assert said.startswith("13.5 V is more than a lead battery shows at rest")
    assert "Type back" in said


@pytest.mark.parametrize("volts", [0.0, 5.0, 11.0, 16.0])
def test_every_resting_voltage_of_the_check_has_a_sentence(volts):
    assert told(volts)


def test_a_sag_is_explained_where_the_resting_voltage_is_known():
    rested = Finding("rest-volts", "good", 12.6, 0.05)
    assert told(10.4, [rested], "crank-volts").startswith("It holds 10.4 V while cranking")
    assert told(8.4, [rested], "crank-volts").startswith("It sags to 8.4 V, under 9.6 V")
    assert told(12.6, [rested], "crank-volts") == ""
    assert told(8.4, [], "crank-volts") == ""
    assert told(8.4, [Finding("rest-volts", "good")], "crank-volts") == ""


def test_lost_volts_are_said_as_a_share():
    assert told(0.5, id="volts-lost") == "0.5 V is 4.2 % of 12 V; up to 3 % is good."
    there = [Finding("system-volts", "twenty-four")]
    assert told(0.5, there, "volts-lost") == "0.5 V is 2.1 % of 24 V; up to 3 % is good."


def test_damp_timber_is_held_against_damp_air():
    assert told(15, id="damp-meter") == "15 % is what damp air gives."
    assert told(19, id="damp-meter") == "19 % is a little over damp air."
    assert told(24, id="damp-meter").endswith("from 20 % timber rots.")


def test_other_readings_and_other_systems_are_left_alone():
    assert told(4.0, id="outside-temperature") == ""
    assert told(12.2, system="water") == ""


def test_what_is_explained_is_what_the_shipped_trees_ask_for_in_that_sense():
    by_id = {}
    for tree, each in shipped():
        by_id.setdefault(each.id, []).append((tree, each))
    assert set(EXPLAINED) <= set(by_id)
    for id, unit in (("rest-volts", "V"), ("crank-volts", "V"), ("volts-lost", "V"), ("damp-meter", "%")):
        assert {each.reading.unit for _, each in by_id[id]} == {unit}
    for tree, each in by_id["rest-volts"]:
        assert tree.system in BATTERY_OF
        assert set(LEAD) <= set(tree.facts[BATTERY_OF[tree.system]].answer_ids())
        assert "rest" in each.ask


def test_every_value_of_a_shipped_check_is_said_in_one_short_line_or_not_at_all():
    for tree, each in shipped():
        low, high = each.reading.low, each.reading.high
        for part in range(21):
            said = meaning_of_reading(each, tree.system, low + (high - low) * part / 20, {})
            assert "\n" not in said
            assert len(said) < 160
