"""Owners are cold and worried: every text that they are shown is plain, and fits a narrow screen."""

from __future__ import annotations

import pytest

from tests.trees.plain import GRADE, grade, owner_texts
from tests.trees.shipped import COMMON, EVERY_TREE, tree_of

LONGEST = 24
"""Letters that a word may have, so that a screen of 40 columns never has to break one."""


def test_a_grade_is_what_its_formula_says():
    """0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid et al. 1975, from memory)."""
    text = "Shut that tap. Wash both hands in hot water."
    assert grade(text) == pytest.approx(0.39 * 9 / 2 + 11.8 * 10 / 9 - 15.59, abs=0.01)


FEW_WORDS = 4
"""Below that the formula says nothing of how hard a text is: "Butane" alone has grade 8.4."""


@pytest.mark.parametrize("id", EVERY_TREE)
def test_every_text_for_an_owner_is_read_at_grade_eight(id):
    hard = {
        (where, text): round(grade(text), 1)
        for where, text in owner_texts(tree_of(id))
        if text and len(text.split()) >= FEW_WORDS and grade(text) > GRADE
    }
    assert hard == {}


def test_so_is_every_common_text():
    texts = [caution.say for caution in COMMON.cautions.values()]
    for referral in COMMON.referrals.values():
        texts += [referral.say, referral.until_help]
    for check in COMMON.checks.values():
        texts += [check.ask, check.how]
    assert {text: grade(text) for text in texts if text and grade(text) > GRADE} == {}


@pytest.mark.parametrize("id", EVERY_TREE)
def test_no_word_is_too_long_for_forty_columns(id):
    words = [word for _, text in owner_texts(tree_of(id)) if text for word in text.split()]
    assert words
    assert [word for word in words if len(word) > LONGEST] == []
