"""Number plates are known by their outer form, and everyday names are not taken for one."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.knowledge.plates import EVERYDAY, SHAPES, looks_like_a_plate


@pytest.mark.parametrize(
    "label",
    [
        # Two letters, two numbers, a space, three letters: DVLA leaflet INF104, section 3.
        "AB51 CDE",
        # Two letters, three digits, two letters, hyphens: France since 2009 (the press of then).
        "AA-111-AA",
        # The rest from memory of plates in the street.
        "K50 WTB",
        "ABC 123D",
        "B-XY 1234",
        "M AB 123",
        "hro:c 12 h",
        "1234 BCD",
        "131-D-12345",
        "12-ABC-3",
        "1-ABC-234",
        "ZH 123456",
        "W-12345A",
        "my van AB51CDE",
        "ab51cde (the blue one)",
    ],
)
def test_a_plate_is_known_wherever_it_stands(label: str) -> None:
    assert looks_like_a_plate(label)


def test_a_vehicle_identification_number_is_known() -> None:
    # ISO 3779: 17 letters and digits, none of them I, O or Q. The number is made up.
    assert looks_like_a_plate("chassis XYZ00000000012345")
    assert not looks_like_a_plate("chassis XYZ0000000001234I"), "I stands in none"
    assert not looks_like_a_plate("MISSUNDERSTANDING"), "a word of seventeen letters"


@pytest.mark.parametrize(
    "label",
    [
        "",
        "the blue van",
        "van 7",
        "Van 123",
        "VAN-0123",
        "bus no 12",
        "nr 1234",
        "hire 14",
        "hire 2019",
        "MH-0123",
        "unit 12 bay 3",
        "row 3 bed 12",
        "van 2019 lwb",
        "L4H3 2021",
        "7.5 t truck",
        "2 berth 600",
        "B 12",
        "Old faithful",
        "caravan 1234",
        "20-11-2026",
    ],
)
def test_an_everyday_name_is_not_taken_for_one(label: str) -> None:
    assert not looks_like_a_plate(label)


@given(st.data())
def test_every_shape_is_known_in_any_capitals_with_anything_between(data: st.DataObject) -> None:
    shape, _ = data.draw(st.sampled_from(SHAPES))
    label = ""
    for place, sign in enumerate(shape):
        kind = shape[:place].rstrip(".")[-1:] if sign == "." else sign
        drawn = {"A": "ABCDEFGHJKLMNPRSTUVWXYZ", "9": "0123456789", " ": " -.", "-": " -."}[kind]
        if sign in ". " and data.draw(st.booleans()):
            continue
        label += data.draw(st.sampled_from(drawn))
    assume(not EVERYDAY & set(re.findall("[a-z]+", label.lower())))
    assert looks_like_a_plate(label)
    assert looks_like_a_plate(f"the one with {label.lower()}, at the back")
