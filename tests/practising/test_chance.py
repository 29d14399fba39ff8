"""Chance falls alike on every machine: published values, and laws of what is drawn."""

from __future__ import annotations

from collections import Counter

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare, kstest

from diagnose.practising.chance import Chance, fnv1a
from diagnose.practising.choosing import choices, traps_of
from diagnose.practising.hiding import fault_by_share
from tests.practising.by_hand import stove

# From memory: widely printed values of SplitMix64 (Steele, Lea & Flood 2014), those for 1234567 among
# Rosetta Code's, those for 0 among the tests of Java's SplittableRandom and of many a port.
OF_1234567 = [
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
]
OF_NOUGHT = [0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F]


def test_the_numbers_are_those_published_for_two_seeds():
    of_1234567, of_nought = Chance(1234567), Chance(0)
    assert [of_1234567.number() for _ in OF_1234567] == OF_1234567
    assert [of_nought.number() for _ in OF_NOUGHT] == OF_NOUGHT


def test_hashes_are_those_that_the_authors_of_fnv_publish():
    # From memory of the test suite of Fowler, Noll & Vo (64 bits, FNV-1a).
    assert fnv1a("") == 0xCBF29CE484222325
    assert fnv1a("a") == 0xAF63DC4C8601EC8C
    assert fnv1a("foobar") == 0x85944171F73967E8


def test_a_label_begins_at_the_seeds_first_number_xor_the_hash():
    labelled, plain = Chance(7, "foobar"), Chance(Chance(7).number() ^ 0x85944171F73967E8)
    assert [labelled.number() for _ in range(3)] == [plain.number() for _ in range(3)]


def test_parts_are_even_from_nought_to_one():
    chance = Chance(2014, "even")
    parts = [chance.part() for _ in range(4000)]
    assert all(0 <= part < 1 for part in parts)
    assert kstest(parts, "uniform").pvalue > 0.01


def test_places_are_drawn_as_often_as_their_weights_say():
    chance, weights = Chance(2014, "weights"), [3.0, 0.0, 1.0, 6.0]
    drawn = np.bincount([chance.among(weights) for _ in range(5000)], minlength=4)
    assert drawn[1] == 0
    assert chisquare(drawn[[0, 2, 3]], np.array([0.3, 0.1, 0.6]) * 5000).pvalue > 0.01


def test_every_order_of_three_is_as_likely_as_any_other_and_each_draw_has_its_own_label():
    orders = Counter(tuple(Chance(seed, "orders").shuffled(3)) for seed in range(1200))
    assert len(orders) == 6
    assert chisquare(list(orders.values())).pvalue > 0.001
    # By these labels the page for a phone draws alike: another one would hide another fault behind a code.
    model = stove()
    for seed in range(20):
        assert fault_by_share(model, seed) == Chance(seed, "fault").among(model.prior.tolist())
        drawn = {trap.id for trap in traps_of(model.tree, Chance(seed, "traps"))}
        assert {each.id for each in choices(model, seed) if each.kind == "trap"} == drawn


@settings(max_examples=40)
@given(st.integers(0, 2**64 - 1), st.integers(1, 30))
def test_an_order_holds_everything_once(seed, many):
    assert sorted(Chance(seed).shuffled(many)) == list(range(many))


@settings(max_examples=40)
@given(st.integers(0, 2**64 - 1), st.lists(st.floats(0, 1), min_size=1, max_size=8).filter(any))
def test_what_has_no_weight_is_never_drawn(seed, weights):
    assert weights[Chance(seed).among(weights)] > 0
