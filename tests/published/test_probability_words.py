"""Probability words as numbers.

Source, from memory: S. Renooij & C. Witteman, Talking probabilities: communicating probabilistic information
with words and numbers, International Journal of Approximate Reasoning 22 (1999): seven words beside a scale
from 0 to 100: (almost) certain 100, probable 85, expected 75, fifty-fifty 50, uncertain 25, improbable 15,
(almost) impossible 0. That the two ends are softened by 2, since an owner can always be mistaken, is ours.
"""

from __future__ import annotations

import pytest

from diagnose.knowledge.checks import PROBABILITY_WORDS as WORDS

PRINTED = {"probable": 85, "expected": 75, "fifty-fifty": 50, "uncertain": 25, "improbable": 15}
SOFTENED = {"almost certain": (100, -2), "almost impossible": (0, +2)}


@pytest.mark.parametrize(("word", "percent"), PRINTED.items())
def test_a_word_has_the_place_on_the_scale_that_was_printed(word, percent):
    assert WORDS[word] == pytest.approx(percent / 100)


@pytest.mark.parametrize(("word", "printed"), SOFTENED.items())
def test_the_ends_of_the_scale_are_softened_by_two(word, printed):
    assert WORDS[word] == pytest.approx(sum(printed) / 100)


def test_there_are_no_other_words():
    assert set(WORDS) == set(PRINTED) | set(SOFTENED)
