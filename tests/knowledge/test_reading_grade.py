"""The grade of Kincaid, Fishburne, Rogers & Chissom (1975, from memory): 0.39 w/s + 11.8 syll/w - 15.59."""

from __future__ import annotations

import pytest
import readability

from diagnose.knowledge.reading_grade import grade, is_hard


@pytest.mark.parametrize(
    ("text", "words", "sentences", "syllables"),
    [
        # Counted by hand.
        ("Shut that tap. Wash both hands in hot water.", 9, 2, 10),
        ("Look which lamp is on.", 5, 1, 5),
        ("Turn that hot tap; stop: then look.", 7, 3, 7),
    ],
)
def test_a_grade_is_what_its_formula_says(text, words, sentences, syllables):
    expected = 0.39 * words / sentences + 11.8 * syllables / words - 15.59
    assert grade(text) == pytest.approx(expected, abs=1e-9)


def test_the_library_hears_no_syllable_in_some_words_so_a_grade_may_be_too_low_by_one():
    """Known of the library: the last "e" is taken as silent, and a capital vowel as none."""
    assert grade("Turn the tap") == pytest.approx(0.39 * 3 + 11.8 * 2 / 3 - 15.59)


def test_a_text_of_several_sentences_is_what_the_library_makes_of_its_words():
    lines = ["Switch the pump off .", "Then open the tap over the kitchen sink ."]
    expected = readability.getmeasures(lines, lang="en")["readability grades"]["Kincaid"]
    assert grade("Switch the pump off. Then open the tap over the kitchen sink!") == expected


@pytest.mark.parametrize("text", ["", "   ", "12 V", "230", "... !"])
def test_a_text_with_hardly_a_word_is_not_hard(text):
    assert not is_hard(text)


def test_a_single_long_word_says_nothing_of_how_hard_a_text_is():
    assert grade("Regulator") > 8
    assert not is_hard("Regulator")
    assert is_hard("Regulator depressurisation procedure installation")
