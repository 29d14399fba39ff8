from __future__ import annotations

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terms import Finding
from diagnose.walking.reading_meanings import RESTED, meaning_of_reading


def kind(word):
    return {"starter-battery": Finding("starter-battery", word)}


def test_a_resting_voltage_is_said_as_a_charge():
    assert meaning_of_reading("rest-volts", 12.18, 0.05, kind("flooded")) == "12.18 V is about 46 % charged."


def test_the_kind_on_the_card_counts():
    assert meaning_of_reading("rest-volts", 12.4, 0.05, kind("agm")) == "12.4 V is about 62 % charged."


@pytest.mark.parametrize("findings", [{}, kind("unknown"), kind("not-sure")])
def test_of_an_unknown_kind_it_is_said_what_was_taken(findings):
    said = meaning_of_reading("rest-volts", 12.18, 0.05, findings)
    assert said == "12.18 V is about 46 % charged, if it is a plain lead battery."


def test_of_a_lithium_battery_nothing_is_said():
    assert meaning_of_reading("rest-volts", 13.2, 0.05, kind("lithium")) == ""


def test_a_voltage_that_no_resting_battery_shows_is_pointed_out():
    said = meaning_of_reading("rest-volts", 13.5, 0.05, kind("flooded"))
    assert said.startswith("13.5 V is more than a lead battery shows at rest")
    assert "back" in said


@pytest.mark.parametrize("volts", [0.0, 5.0, 11.0, 16.0])
def test_every_value_of_the_check_has_a_sentence(volts):
    assert meaning_of_reading("rest-volts", volts, 0.05, {})


def test_other_readings_are_left_alone():
    assert meaning_of_reading("outside-temperature", 4.0, 2.0, {}) == ""


def test_the_facts_that_tell_the_kind_are_facts_of_the_trees():
    facts = Library().tree("engine-no-crank").facts
    for fact in RESTED.values():
        assert {"flooded", "agm", "gel", "lithium"} <= set(facts[fact].answer_ids())
    assert "rest-volts" in Library().tree("engine-no-crank").checks
