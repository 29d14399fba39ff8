"""The square code of a sheet: how much it holds, how it is drawn, and what an independent reader reads."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.drawing.sheet_qr import LARGEST_VERSION, QUIET, square_code
from tests.drawing.made_up_sheets import SQUARE

ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
HOLDS_Q, HOLDS_M, HOLDS_L = 221, 311, 395
"""Signs that version 10 holds at levels Q, M and L (ISO/IEC 18004:2015, table 7; from memory)."""


def drawn(svg: str) -> np.ndarray:
    """The picture as dots, four to a module, drawn from its path alone."""
    root = ElementTree.fromstring(svg)
    side = int(root.get("viewBox").split()[2])
    dots = np.full((side, side), 255, np.uint8)
    path = next(each.get("d") for each in root.iter() if each.get("stroke"))
    x = y = 0.0
    for command, figures in re.findall(r"([Mmh])([^Mmh]*)", path):
        numbers = [float(each) for each in re.findall(r"-?[0-9.]+", figures)]
        if command == "M":
            x, y = numbers
        elif command == "m":
            x, y = x + numbers[0], y + numbers[1]
        else:
            dots[int(y), int(x) : int(x + numbers[0])] = 0
            x += numbers[0]
    return np.kron(dots, np.ones((4, 4), np.uint8))


def read(svg: str) -> str:
    found = zxingcpp.read_barcodes(drawn(svg))
    assert [each.format for each in found] == [zxingcpp.BarcodeFormat.QRCode]
    return found[0].text


@settings(max_examples=8)
@given(st.text(ALPHANUMERIC, min_size=1, max_size=600).map(str.strip).filter(bool))
def test_an_independent_reader_gets_back_every_sign(text):
    made = square_code(text, "what it is for")
    assert read(made.svg) == text


@pytest.mark.parametrize(
    ("many", "level", "version"),
    [
        (HOLDS_Q, "Q", 10),
        (HOLDS_Q + 1, "M", None),
        (HOLDS_M, "M", 10),
        (HOLDS_M + 1, "L", None),
        (HOLDS_L, "L", 10),
        (HOLDS_L + 1, "L", 11),
    ],
)
def test_it_stays_as_safe_as_it_can_while_it_is_coarse(many, level, version):
    made = square_code("A" * many, "")
    assert (made.level, made.mode) == (level, "alphanumeric")
    assert made.version == version if version else made.version <= LARGEST_VERSION


def test_it_has_the_white_around_it_that_the_standard_wants():
    dots = drawn(square_code(SQUARE, "").svg)
    edge = QUIET * 4
    assert (dots[:edge] == 255).all()
    assert (dots[:, :edge] == 255).all()
    assert dots[edge, edge] == 0


def test_a_quarter_of_dirt_does_not_matter():
    dots = drawn(square_code(SQUARE, "").svg)
    side = dots.shape[0]
    dots[side // 2 : side // 2 + side // 8, side // 3 : side // 3 + side // 3] = 0
    assert zxingcpp.read_barcodes(dots)[0].text == SQUARE


def test_what_it_is_for_is_text_and_no_markup():
    root = ElementTree.fromstring(square_code(SQUARE, '<script>"&').svg)
    assert [each.tag.rpartition("}")[2] for each in root.iter()] == ["svg", "title", "path", "path"]
    assert root[0].text == '<script>"&'


def test_more_than_any_code_holds_has_none():
    assert square_code("A" * 5000, "") is None
