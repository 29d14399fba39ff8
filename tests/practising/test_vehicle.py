"""The vehicle answers as the tree expects of its fault, and always alike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, chisquare, kstest

from diagnose.practising.vehicle import Vehicle, reading_in, shown, shown_places
from diagnose.terms import NOT_SURE, Band, Check, Finding, Reading
from tests.practising.by_hand import stove
from tests.reasoning.by_hand import cause, check, model_of

SEEDS = range(1500)


def answered(model, fault, id):
    """How often each answer, and not sure last, comes over many vehicles with a fault."""
    names = (*model.tree.checks[id].answer_ids(), NOT_SURE)
    drawn = [Vehicle(model, model.index[fault], seed).finding(id).answer for seed in SEEDS]
    return np.array([drawn.count(name) for name in names]), names


@pytest.mark.parametrize("fault", ["bottle-empty", "fuse-blown", "not-listed"])
@pytest.mark.parametrize("id", ["flame", "volts"])
def test_answers_come_as_often_as_the_tree_expects(fault, id):
    model = stove()
    counted, names = answered(model, fault, id)
    expected = dict(Vehicle(model, model.index[fault], 0).how_likely(id))
    assert set(expected) == set(names)
    assert sum(expected.values()) == pytest.approx(1)
    # Seeded, so that it either always holds or never does; 1 in 1000 such tests of true chances would fail.
    assert chisquare(counted, np.array([expected[name] for name in names]) * len(SEEDS)).pvalue > 0.001


def test_a_reading_lies_in_the_band_that_was_drawn_and_evenly_between_two_others():
    model = stove()
    found = [Vehicle(model, model.index["not-listed"], seed).finding("volts") for seed in SEEDS]
    bands = {band.id: band for band in model.tree.checks["volts"].bands}
    values = [each.value for each in found if each.answer == "low"]
    assert all(bands[each.answer].low <= each.value < bands[each.answer].high for each in found if each.value)
    assert all(each.uncertainty == 0.05 for each in found if each.answer != NOT_SURE)
    assert all(each.value is None for each in found if each.answer == NOT_SURE)
    assert kstest((np.array(values) - 6) / 5.9, "uniform").pvalue > 0.001


def test_at_an_end_of_the_range_a_reading_lies_nearer_the_next_band():
    model = stove()
    found = [Vehicle(model, model.index["fuse-blown"], seed).finding("volts") for seed in SEEDS]
    dead = np.array([each.value for each in found if each.answer == "dead"])
    # Even parts, cubed, off the upper edge: half of them within 1/8 of the band, a quarter within 1/64.
    for part, share in ((1 / 8, 1 / 2), (1 / 64, 1 / 4)):
        assert binomtest(int((dead > 6 * (1 - part)).sum()), len(dead), share).pvalue > 0.001


def test_a_remedy_cures_its_own_fault_alone_and_as_often_as_it_cures():
    model = stove()
    vehicles = [Vehicle(model, model.index["bottle-empty"], seed) for seed in SEEDS]
    cured = sum(vehicle.cures("bottle-empty") for vehicle in vehicles)
    assert chisquare([cured, len(SEEDS) - cured], np.array([0.9, 0.1]) * len(SEEDS)).pvalue > 0.001
    assert not any(vehicle.cures("valve-shut") for vehicle in vehicles)
    hidden = Vehicle(model, model.index["not-listed"], 3)
    assert not any(hidden.cures(id) for id in model.ids)


@given(st.integers(0, 99_999), st.integers(0, 4))
def test_asked_again_it_says_the_same_whatever_was_asked_between(seed, fault):
    vehicle, other = Vehicle(stove(), fault, seed), Vehicle(stove(), fault, seed)
    first = vehicle.finding("flame")
    other.finding("volts")
    assert other.finding("flame") == first == vehicle.finding("flame")


def test_facts_are_among_those_that_the_tree_applies_to():
    model = model_of(
        {"any_of": {"a": cause(60), "b": cause(35)}},
        {"look": check()},
        applies_to={"heater-fuel": ["gas", "diesel"]},
    )
    told = [Vehicle(model, 0, seed).facts()["heater-fuel"] for seed in range(100)]
    assert set(told) == {"gas", "diesel"}
    assert Vehicle(model, 0, 5).facts() == Vehicle(model, 1, 5).facts()


@given(
    st.floats(-50, 50),
    st.floats(0.001, 40),
    st.sampled_from([0.0, 5.0]),
    st.sampled_from([0.0, 5.0]),
    st.sampled_from([0.01, 0.05, 0.5, 2.0]),
    st.one_of(st.floats(0, 1, exclude_max=True), st.sampled_from([0.0, 1 - 2**-53])),
)
def test_a_shown_value_lies_in_its_band_however_narrow(low, width, below, above, uncertainty, part):
    band = Band("b", low, low + width)
    reading = Reading("V", low - below, low + width + above, uncertainty)
    assert band.low <= reading_in(band, reading, part) < band.high


@given(st.floats(1e-4, 100))
def test_a_meter_shows_no_finer_than_it_measures_and_no_coarser(uncertainty):
    places = shown_places(uncertainty)
    assert 10.0**-places <= uncertainty * (1 + 1e-9) or places == 6
    assert places == 0 or 10.0 ** -(places - 1) > uncertainty


def test_what_is_shown_has_the_meters_places_its_unit_and_its_uncertainty():
    volts = Check("volts", "?", "", "look", "owner", 1, (), Reading("V", 0, 16, 0.05), (Band("all", 0, 16),))
    assert shown(Finding("volts", "all", 12.3, 0.05), volts) == "12.30 V (give or take 0.05)"
    assert shown(Finding("volts", NOT_SURE), volts) == "It cannot be told"


def test_a_seed_gives_this_vehicle_on_every_machine():
    # Written down when it was first drawn: whoever changes what a seed gives changes every exercise there is.
    vehicle = Vehicle(stove(), stove().index["bottle-empty"], 20_269)
    told = [vehicle.finding(id) for id in ("smell-of-gas", "co-alarm", "flame", "volts", "start-it")]
    assert [(each.answer, each.value) for each in told] == [
        ("no", None),
        ("quiet", None),
        ("steady", None),
        ("good", 12.69),
        ("two", None),
    ]
    assert vehicle.cures("bottle-empty") is True
