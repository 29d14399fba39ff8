"""Ordinary words find the symptom that is meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.collection import Library
from diagnose.knowledge.symptom_search import search_symptoms

HEADINGS = Library().headings()


@pytest.mark.parametrize(
    ("words", "id"),
    [
        ("no warm air", "heater-no-fire"),
        ("clicks but wont turn over", "engine-no-crank"),
        ("bed is wet after rain", "wet-after-washing"),
        ("nothing works", "habitation-dead"),
        ("NO WARM AIR!!", "heater-no-fire"),
        ("starter motor dead", "engine-no-crank"),
        ("mattress soaked after rain", "wet-after-washing"),
        ("gas ring dies when I let go", "hob-goes-out"),
        ("pump runs but no water", "water-pump"),
        ("kettle trips the power", "hook-up-trips"),
        ("electric keeps triping", "hook-up-trips"),
        ("brakes stuck", "brakes-drag"),
        ("there are mouse droppings", "mouse-signs"),
        ("the tyres look cracked", "tyres-soft-old"),
        ("no hot water", "no-hot-water"),
    ],
)
def test_ordinary_words_find_the_right_symptom(words, id):
    search = search_symptoms(words, HEADINGS)
    assert search.good[0].id == id
    assert search.clear is not None
    assert search.clear.id == id


@pytest.mark.parametrize(
    ("words", "either"),
    [
        ("bed is wet", {"wet-after-washing", "damp-musty"}),
        ("heater will not light", {"heater-no-fire", "water-heater-no-fire"}),
        ("my heater does not work", {"heater-no-fire", "wet-heating-cold", "water-heater-no-fire"}),
        ("battery is dead", {"engine-no-crank", "leisure-battery-weak"}),
        ("my heatr is cold", {"heater-no-fire", "wet-heating-cold"}),
        ("heater won't fire", {"heater-no-fire", "water-heater-no-fire"}),
        ("no heat", {"heater-no-fire", "wet-heating-cold", "water-heater-no-fire"}),
        ("engine will not turn", {"engine-no-crank", "engine-no-start"}),
        ("the duvet is damp", {"wet-after-washing", "damp-musty"}),
        ("flame goes out", {"hob-goes-out", "hob-hisses-on"}),
        ("taps dry", {"water-pump", "no-hot-water"}),
        ("fridge not cold", {"absorption-fridge", "compressor-fridge"}),
    ],
)
def test_words_that_fit_several_symptoms_have_them_all_to_choose_from(words, either):
    search = search_symptoms(words, HEADINGS)
    assert search.clear is None
    assert search.good[0].id in either
    assert either <= {match.id for match in search.good}


@pytest.mark.parametrize(
    "words", ["banana", "asdf qwerty", "the telly is broken", "lost the keys", "?!", "", "x" * 500]
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
    assert {match.id for match in search.good} >= {"water-pump", "leak-inside", "no-hot-water"}


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.long)])
def test_each_shipped_way_to_say_it_finds_its_own_symptom(every):
    for heading in HEADINGS:
        for text in (heading.symptom, *heading.also_said[::every]):
            good = search_symptoms(text, HEADINGS).good
            # Some words are said of several symptoms: then all of those are equally good.
            assert heading.id in {match.id for match in good if match.likeness == good[0].likeness}, text


@given(st.text(max_size=80))
def test_no_words_break_the_search(words):
    search = search_symptoms(words, HEADINGS)
    assert all(0 <= match.likeness <= 1 for match in search.nearest)
