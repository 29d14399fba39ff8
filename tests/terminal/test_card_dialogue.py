"""What is typed while a card is made."""

from __future__ import annotations

from datetime import date

from diagnose.knowledge.card import read_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library
from diagnose.terminal.card_dialogue import CardDialogue
from tests.terminal.typed import Typing

TODAY = date(2026, 3, 1)
WORDS = CardWords(Library())


def test_any_letter_that_may_stand_in_a_file_may_be_typed_for_a_label():
    """Such as those beyond the first 65,536, which JSON spells with two escapes and YAML with one."""
    label = "the \U0001f690 called 𝔅ertha"
    console = Typing(label, "leave off")
    text = CardDialogue(console, WORDS, TODAY).run("van.yaml")
    assert read_card(text, "van.yaml", WORDS, TODAY).label == label


def test_a_letter_that_nobody_sees_is_refused_and_asked_for_again():
    console = Typing("A\u115f", "A", "leave off")
    text = CardDialogue(console, WORDS, TODAY).run("van.yaml")
    assert "U+115F stands here; take it out" in console.text()
    assert read_card(text, "van.yaml", WORDS, TODAY).label == "A"
