"""Ordinary words find the symptom that is meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.collection import Library
from diagnose.walking.symptom_search import search_symptoms

HEADINGS = Library().headings()


@pytest.mark.parametrize(
    ("words", "id"),
    [
        ("no warm air", "heater-no-fire"),
        ("clicks but wont turn over", "engine-no-crank"),
        ("bed is wet", "wet-after-washing"),
        ("NO WARM AIR!!", "heater-no-fire"),
        ("my heatr is cold", "heater-no-fire"),
        ("heater won't fire", "heater-no-fire"),
        ("no heat", "heater-no-fire"),
        ("starter motor dead", "engine-no-crank"),
        ("engine will not turn", "engine-no-crank"),
        ("mattress soaked after rain", "wet-after-washing"),
        ("the duvet is damp", "wet-after-washing"),
        ("flame goes out", "hob-goes-out"),
        ("gas ring dies when I let go", "hob-goes-out"),
        ("pump runs but no water", "water-pump"),
        ("taps dry", "water-pump"),
        ("kettle trips the power", "hook-up-trips"),
        ("electric keeps triping", "hook-up-trips"),
    ],
)
def test_ordinary_words_find_the_right_symptom(words, id):
    search = search_symptoms(words, HEADINGS)
    assert search.good[0].id == id
    assert search.clear is not None
    assert search.clear.id == id


@pytest.mark.parametrize(
    "words", ["banana", "asdf qwerty", "the telly is broken", "brakes stuck", "?!", "", "x" * 500]
)
def test_what_fits_nothing_gives_the_three_nearest_and_none_as_good(words):
    search = search_symptoms(words, HEADINGS)
    assert search.good == ()
    assert search.clear is None
    assert len(search.nearest) == 3


def test_an_id_is_that_symptom_alone():
    search = search_symptoms("water-pump", HEADINGS)
    assert [match.id for match in search.good] == ["water-pump"]


def test_words_that_fit_two_symptoms_are_not_taken_for_one():
    search = search_symptoms("water", HEADINGS)
    assert search.clear is None
    assert {match.id for match in search.good} == {"water-pump", "wet-after-washing"}


def test_each_shipped_way_to_say_it_finds_its_own_symptom():
    for heading in HEADINGS:
        for text in (heading.symptom, *heading.also_said):
            assert search_symptoms(text, HEADINGS).good[0].id == heading.id, text


@given(st.text(max_size=80))
def test_no_words_break_the_search(words):
    search = search_symptoms(words, HEADINGS)
    assert all(0 <= match.likeness <= 1 for match in search.nearest)
