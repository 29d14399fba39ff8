"""Number plates are known by their outer form, and everyday names are not taken for one."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.knowledge.plates import EVERYDAY, SHAPES, looks_like_a_plate, plate_in


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


@pytest.mark.parametrize(
    "label",
    # Shapes of registration marks from memory, common practice, no source; none is anybody's on purpose.
    ["AB12 CDE", "ab12cde", "A123 BCD", "AB-123-CD", "B-XY 1234", "M:AB 123E", "1234 BCD", "12-D-12345",
     "ABC 12D", "1-ABC-123", "12-AB-34", "AB-12-CD", "ZH 123456", "W-12345A", "EL 12345", "WA 12345",
     "1A2 3456", "the blue AB12 CDE"],
)  # fmt: skip
def test_labels_that_look_like_number_plates(label: str) -> None:
    assert plate_in(label)


@pytest.mark.parametrize(
    "label",
    ["", "van 1", "VAN 123", "Bus 7b", "blue van", "no 12", "mh-12", "hire 2019", "the old one", "7",
     "caravan 3", "van 12 of 2019", "Möwe", "unit 0042", "4 berth"],
)  # fmt: skip
def test_names_of_ones_own_are_taken(label: str) -> None:
    assert plate_in(label) == ""


def test_where_such_a_plate_is_used_is_told() -> None:
    assert plate_in("the van, ab12 cde") == "Great Britain from 2001"
    assert plate_in("12-D-12345") == "Ireland 1987-2012"
    assert all(where for _, where in SHAPES)
