from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.terminal.wrapping import clean, display_width, wrap

WORDS = st.lists(st.text(st.characters(categories=["Ll", "Lu", "Nd", "Po"]), min_size=1, max_size=12))


@given(WORDS, st.integers(20, 90))
def test_no_line_is_wider_than_the_screen(words, width):
    assert all(display_width(line) <= width for line in wrap(" ".join(words), width, "  1  "))


@given(WORDS, st.integers(20, 90))
def test_no_word_is_broken_or_lost(words, width):
    text = " ".join(words)
    assert " ".join(wrap(text, width)).split() == text.split()


def test_a_word_wider_than_the_line_is_cut_since_nothing_else_fits():
    assert wrap("a" * 25, 10) == ("a" * 10, "a" * 10, "a" * 5)


def test_further_lines_stand_under_the_text():
    assert wrap("Light one ring, watch it", 14, "1  ") == ("1  Light one", "   ring, watch", "   it")


def test_wide_letters_count_two_columns_and_combining_marks_none():
    # Unicode Standard Annex 11, East Asian Width: CJK ideographs are wide (W); U+0301 is a combining mark.
    assert display_width("暖房") == 4
    assert display_width("e\u0301") == 1
    assert wrap("暖房 暖房", 6) == ("暖房", "暖房")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred", "\N{REPLACEMENT CHARACTER}[31mred"),
        ("a\x07b\x08", "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}"),
        ("\x9b2Jgone", "\N{REPLACEMENT CHARACTER}2Jgone"),
        ("two\r\nlines\tand", "two  lines and"),
        ("abc\u202ecba", "abccba"),
        ("soft\u00adhyphen", "softhyphen"),
        ("12 °C – 3 Ω", "12 °C – 3 Ω"),
    ],
)
def test_what_could_steer_a_terminal_is_taken_out(text, shown):
    assert clean(text) == shown


@given(st.text())
def test_nothing_that_is_shown_is_a_control_character(text):
    for line in wrap(text, 40):
        assert not [letter for letter in line if unicodedata.category(letter) in ("Cc", "Cs")]
