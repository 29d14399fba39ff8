from __future__ import annotations

import doctest
import importlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.terminal.figures import (
    basis_in_words,
    duration_in_words,
    effort_sentences,
    interval_in_words,
    share_in_words,
)
from diagnose.terms import Ranked
from diagnose.walking.views import Effort


@pytest.mark.parametrize("module", ["figures", "wrapping", "sentences", "understanding", "returning"])
def test_the_examples_in_the_docstrings_run(module):
    result = doctest.testmod(importlib.import_module(f"diagnose.terminal.{module}"))
    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1.0, "more than 9 in 10"),
        (0.95, "more than 9 in 10"),
        (0.9, "about 9 in 10"),
        (0.44, "about 4 in 10"),
        (0.08, "about 1 in 10"),
        (0.07, "about 7 in 100"),
        (0.01, "about 1 in 100"),
        (0.001, "less than 1 in 100"),
        (0.0, "less than 1 in 100"),
    ],
)
def test_a_share_is_said_as_a_person_says_it(share, words):
    assert share_in_words(share) == words


@given(st.floats(0, 0.949))
def test_no_share_below_all_is_said_to_be_all(share):
    assert "10 in 10" not in share_in_words(share)
    assert "100 in 100" not in share_in_words(share)


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_larger_share_is_never_said_to_be_smaller(one, other):
    def said(share: float) -> float:
        words = share_in_words(share).split()
        return {"less": 0.005, "more": 0.97}.get(words[0]) or int(words[1]) / int(words[3])

    small, large = sorted((one, other))
    assert said(small) <= said(large)


def test_an_interval_is_said_with_both_ends():
    assert interval_in_words(0.214, 0.58) == "between 21 and 58 in 100"
    assert interval_in_words(0.301, 0.299) == "30 in 100"


def test_without_cases_a_share_is_called_judgement():
    ranked = Ranked("a", "A", 0.4, 0.2, 0.6)
    assert basis_in_words(ranked, (ranked,)) == "our judgement, no cases yet"


def test_with_cases_the_counts_are_told():
    one, other = Ranked("a", "A", 0.4, 0.2, 0.6, 12.0), Ranked("b", "B", 0.6, 0.2, 0.6, 19.0)
    assert basis_in_words(one, (one, other)) == "12 of 31 cases"
    weighed = Ranked("a", "A", 0.4, 0.2, 0.6, 11.6)
    assert basis_in_words(weighed, (weighed, other)) == "about 12 of 31 cases"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0.5, "less than a minute"),
        (1, "1 minute"),
        (3, "3 minutes"),
        (60, "60 minutes"),
        (90, "an hour and a half"),
        (120, "2 hours"),
        (360, "6 hours"),
        (600, "a night"),
        (1440, "a day"),
        (2880, "2 days"),
    ],
)
def test_time_is_said_in_the_words_that_one_plans_with(minutes, words):
    assert duration_in_words(minutes) == words


def test_work_waiting_and_money_are_never_added_up():
    assert effort_sentences(Effort(3, 600, 35)) == (
        "About 3 minutes.",
        "Then it takes a night, but not you: nobody need be there.",
        "Costs about 35 pounds or euros.",
    )
    assert effort_sentences(Effort()) == ()
    assert effort_sentences(Effort(minutes=0.5)) == ("Less than a minute.",)
