"""The page about the vehicle's card shows the sample card and the tables of the program as they are."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from diagnose.knowledge.card import load_card
from diagnose.knowledge.card_fields import CARD_TABLES, DATES, INSTRUMENTS
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library
from tests.docs.vehicle_card import DOCS, dates_table, instruments_table

PAGE = (DOCS / "vehicle-card.md").read_text(encoding="utf-8")


def test_the_sample_card_on_the_page_is_the_file_beside_it():
    assert f"```yaml\n{(DOCS / 'blue-van.yaml').read_text(encoding='utf-8')}```" in PAGE


def test_the_sample_card_has_no_flaw_and_uses_every_key():
    card = load_card(DOCS / "blue-van.yaml", CardWords(Library()), date.today())
    assert card.advice == ()
    text = Path(card.file).read_text(encoding="utf-8")
    for line in CARD_TABLES["card"]:
        assert f"\n{line.key}:" in text


@pytest.mark.parametrize("table", [dates_table(), instruments_table()])
def test_the_tables_on_the_page_are_those_of_the_program(table):
    assert table in PAGE
    assert len(table.splitlines()) == 2 + (len(DATES) if "alarm" in table else len(INSTRUMENTS))


def test_every_key_of_a_card_is_told_on_the_page():
    for line in CARD_TABLES["card"]:
        assert f"| `{line.key}` |" in PAGE
