"""Advice on texts: each with a text that has it, and with one that just has not."""

from __future__ import annotations

import pytest

from diagnose.knowledge.advising_texts import INSTRUCTION, LONGEST_WORD, NAME, QUESTION, advice_on_texts
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.reading_grade import GRADE, grade

TREE = """\
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
cured_when: {ask: Has the lamp burned for a minute?, minutes: 2}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 45
      remedy: {do: Press the switch, how: It clicks, by: owner, hands: controls, minutes: 1}
      prevent: Leave the switches on
    line-dead:
      says: No current comes to the lamp
      in_100: 50
      remedy: {do: Renew the line, by: technician, hands: tools, minutes: 30}
checks:
  switch-click:
    ask: Which way does the switch stand?
    how: Look from the side
    hands: look
    by: owner
    minutes: 1
    answers: {on: At on, off: At off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
sources: [shares are judgement]
"""


@pytest.fixture
def told(common):
    """(line, column, name) of the advice on the tree's texts with one of them changed."""

    def said(old, new):
        assert old in TREE
        tree, flaws = read_tree(TREE.replace(old, new, 1), "x.yaml", common, id="x")
        assert flaws == ()
        return [(advice.line, advice.column, advice.name) for advice in advice_on_texts(tree)]

    return said


def letters(number):
    """A text of so many letters that anybody can read: words of three."""
    return ("is it so. " * number)[: number - 1].rstrip(". ").ljust(number - 1, "a") + "?"


def test_nothing_is_said_of_plain_short_texts(told):
    assert told("Press the switch", "Press the switch") == []


@pytest.mark.parametrize(
    ("old", "most", "place"),
    [
        ("The lamp over the table stays dark", NAME, (1, 1)),
        ("The switch at the lamp is off", NAME, (8, 5)),
        ("At on", NAME, (18, 3)),
        ("Has the lamp burned for a minute?", QUESTION, (1, 1)),
        ("Which way does the switch stand?", QUESTION, (18, 3)),
        ("Press the switch", INSTRUCTION, (11, 7)),
        ("It clicks", INSTRUCTION, (11, 7)),
        ("Leave the switches on", INSTRUCTION, (8, 5)),
        ("Look from the side", INSTRUCTION, (18, 3)),
        ("Renew the line", INSTRUCTION, (16, 7)),
    ],
)
def test_a_text_is_too_long_by_one_letter(told, old, most, place):
    assert told(old, letters(most)) == []
    assert told(old, letters(most + 1)) == [(*place, "text-long")]


def test_a_word_is_too_long_by_one_letter(told):
    assert told("switches on", "o" * LONGEST_WORD + " on") == []
    assert told("switches on", "o" * (LONGEST_WORD + 1) + " on") == [(8, 5, "word-long")]


# By the formula (Kincaid et al. 1975): one sentence of n words of one syllable has grade 0.39 n - 3.79.
JUST_READ = "if this lamp is on now " * 5
TOO_HARD = f"{JUST_READ}stop"


def test_a_text_for_an_owner_is_too_hard_just_above_grade_eight(told):
    assert grade(JUST_READ) <= GRADE < grade(TOO_HARD)
    assert told("Press the switch", JUST_READ) == []
    assert told("Press the switch", TOO_HARD) == [(11, 7, "text-hard")]


def test_what_only_a_technician_reads_may_be_hard(told):
    assert told("Renew the line", TOO_HARD) == []


@pytest.mark.parametrize("new", ["", "sources: []\n", "sources: ['']\n"])
def test_a_tree_without_a_source_is_told(told, common, new):
    tree, flaws = read_tree(TREE.replace("sources: [shares are judgement]\n", new), "x.yaml", common, id="x")
    if tree is None:  # an empty list, or text, may be a flaw of its own
        assert "sources" in str(flaws[0])
        return
    assert [advice.name for advice in advice_on_texts(tree)] == ["sources-missing"]


def test_the_message_says_how_to_mend_it_and_tells_its_name(common):
    tree, _ = read_tree(TREE.replace("Leave the", "o" * 25), "x.yaml", common, id="x")
    assert [str(advice) for advice in advice_on_texts(tree)] == [
        f'x.yaml:8:5: prevent of "switched-off" has the word "{"o" * 25}", which a narrow screen breaks; '
        "24 letters are the most (word-long)"
    ]
