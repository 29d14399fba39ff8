"""A vehicle's card as the command line takes it: read, and what is doubtful about it said once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from diagnose.knowledge.card import VehicleCard, load_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library


def card_at_hand(path: str, library: Library) -> VehicleCard:
    """The card in a file; raises FlawedKnowledge with every flaw of it. Advice on it goes to stderr."""
    card = load_card(Path(path), CardWords(library), date.today())
    for advice in card.advice:
        click.echo(str(advice), err=True)
    return card
