"""The sheet as PDF, looked at by independent readers: one page of A4, black on white, every text as text."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from diagnose.drawing.sheet_pdf import sheet_pdf
from tests.drawing.made_up_sheets import (
    CODE,
    ENGLISH,
    HARM,
    LONG_WORD,
    SQUARE,
    TURNED,
    made_up_sheet,
)

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)
"""Points of an upright sheet of A4 (ISO 216: 210 by 297 mm)."""
BREAKS = str.maketrans("", "", "\u200b\n ")


@lru_cache
def made(**about) -> bytes:
    return sheet_pdf(made_up_sheet(**about), ENGLISH)


def page_of(pdf: bytes):
    """The only page; a second one would be an error."""
    reader = PdfReader(BytesIO(pdf))
    assert len(reader.pages) == 1
    return reader.pages[0]


def words_of(pdf: bytes) -> str:
    """All its text, without spaces and line ends: where lines break does not matter."""
    return page_of(pdf).extract_text().translate(BREAKS)


def dots_of(pdf: bytes, scale: float = 2.0) -> np.ndarray:
    return np.asarray(pypdfium2.PdfDocument(pdf)[0].render(scale=scale).to_numpy())


def on_it(text: str) -> str:
    return text.translate(BREAKS)


@pytest.mark.parametrize(
    "about",
    [
        {},
        {"stopped": True},
        {"code": False},
        pytest.param({"rows": 30, "causes": 14}, marks=pytest.mark.long),
        pytest.param({"rows": 150, "causes": 90}, marks=pytest.mark.long),
    ],
    ids=["short", "stopped", "without a code", "long", "far too long"],
)
def test_it_is_always_one_page_of_a4(about):
    page = page_of(made(**about))
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4, abs=0.01)


@pytest.mark.long
@settings(max_examples=12)
@given(st.integers(0, 60), st.integers(1, 40), st.text(max_size=400), st.booleans())
def test_it_is_one_page_whatever_the_texts_are(rows, causes, says, stopped):
    page_of(made(rows=rows, causes=causes, says=says, stopped=stopped))


def test_everything_of_a_short_sheet_is_on_it():
    words = words_of(made())
    for text in (
        "HAND-OVER SHEET", "Case:12", "What does the panel show?", "12.4 ± 0.15 V", "Question 3: the answer?",
        "About the vehicle", "What does it burn? the answer Gas", "Started in this case: twice",
        "Change the cylinder the answer: no better", "Cause 4: left: the answer", "40% (0% to 90%)",
        "Not told yet what it was: 5 of 9 handed on.", "DANGER: Everybody goes out.", CODE, "5Cause 4",
        "From the vehicle's card", "Gas hose: DUE since 2026-11-01", "4.5 bar, 1750 kg", "nobody looked",
        "Register: the register", "Name:", "Date:", "Signature:",
        "This does not certify that the vehicle is safe.", "The tree has changed: the answer",
    ):  # fmt: skip
        assert on_it(text) in words, text
    assert "Noroomhere" not in words


def test_the_ranking_stands_beneath_what_was_found():
    page = pypdfium2.PdfDocument(made())[0].get_textpage()

    def height(text: str) -> float:
        at, _ = page.search(text).get_next()
        return page.get_charbox(at)[1]

    assert 0 < height("Likeliest causes") < height("Question 3") < height("What was found, in order")


def test_a_stop_says_so_at_the_top_and_why():
    text = page_of(made(stopped=True)).extract_text()
    assert text.startswith("STOPPED FOR DANGER\nStopped because: Smell of gas? the answer Yes.\n")
    assert "STOPPED" not in page_of(made()).extract_text()
    band = dots_of(made(stopped=True))[80:110]
    assert (band == 0).mean() > 0.5  # white letters on a black band, on the first inch


def test_what_has_no_room_is_counted_and_what_matters_most_is_still_there():
    words = words_of(made(rows=40, causes=20, stopped=True))
    for text in (
        "STOPPED FOR DANGER", CODE, "20Cause 19", "12.4 ± 0.15 V", "Signature:",
        "All of it: diagnose sheet 12 --format text",
        "This does not certify that the vehicle is safe.", "No room here for:", 'under "Likeliest causes',
    ):  # fmt: skip
        assert on_it(text) in words, text


@pytest.mark.parametrize(
    "says", [HARM, LONG_WORD, pytest.param("x" * 600, marks=pytest.mark.long), "шасси Ωμέγα"]
)
def test_every_text_is_shown_as_text(says):
    words = words_of(made(says=says, rows=1, causes=2))
    assert words.count(on_it(says)) >= 5


def test_what_turns_the_direction_of_reading_is_taken_out():
    text = page_of(made(says=TURNED)).extract_text()
    assert "left \ufffdright\ufffd \ufffdend\ufffd bell\ufffd tab end" in text.replace("\n", " ")
    assert not set(text) & set("\u202e\u202c\u2066\u2069\x07\t")


def test_it_is_black_on_white():
    dots = dots_of(made(stopped=True), 1.0)[..., :3].astype(int)
    assert (np.ptp(dots, axis=2) <= 2).all()
    assert dots.min() < 20
    assert (dots == 255).mean() > 0.7


def test_an_independent_reader_reads_the_square_code_off_the_page():
    # 144 dots to the inch: what a poor scanner or a telephone at arm's length sees.
    for about in ({}, {"stopped": True}):
        found = zxingcpp.read_barcodes(dots_of(made(**about)))
        assert [(each.format, each.text) for each in found] == [(zxingcpp.BarcodeFormat.QRCode, SQUARE)]
    assert zxingcpp.read_barcodes(dots_of(made(code=False))) == []


def test_the_same_sheet_gives_the_same_bytes_and_no_time_of_making():
    assert made(stopped=True) == sheet_pdf(made_up_sheet(stopped=True), ENGLISH)
    about = PdfReader(BytesIO(made())).metadata
    assert (about.title, about.creation_date) == ("HAND-OVER SHEET 12", None)
