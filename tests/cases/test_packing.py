"""Choices laid on a number and taken off again."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.packing import Packer, Unpacker

weights = st.lists(st.integers(1, 40), min_size=1, max_size=8)
choices = weights.flatmap(lambda each: st.tuples(st.just(each), st.integers(0, len(each) - 1)))


@given(st.lists(choices, max_size=30))
def test_what_was_packed_comes_off_in_the_same_order_and_nothing_is_left(chosen):
    packer = Packer()
    for each, place in chosen:
        packer.weighed(place, each)
    unpacker = Unpacker(packer.number())
    assert [unpacker.weighed(each) for each, _ in chosen] == [place for _, place in chosen]
    assert unpacker.left == 0


@given(st.lists(st.integers(2, 30).flatmap(lambda many: st.tuples(st.integers(0, many - 1), st.just(many)))))
def test_equal_weights_are_the_digits_of_a_mixed_radix(digits):
    packer, expected = Packer(), 0
    for digit, many in digits:
        packer.even(digit, many)
    for digit, many in reversed(digits):
        expected = expected * many + digit
    assert packer.number() == expected


@given(st.lists(choices, min_size=1, max_size=30))
def test_a_number_is_no_longer_than_the_chances_of_its_choices_call_for(chosen):
    """The entropy bound (Shannon 1948), with less than a bit more for a choice laid on a small number."""
    packer, bits = Packer(), 0.0
    for each, place in chosen:
        packer.weighed(place, each)
        bits += math.log2(sum(each) / each[place])
    assert packer.number().bit_length() <= bits + len(chosen) + 6


def test_a_number_out_of_its_range_is_refused():
    with pytest.raises(ValueError, match="10 is not from 0 to 9"):
        Packer().even(10, 10)
