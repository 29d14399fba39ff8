"""A vehicle's card as the command line takes it: read, and what is doubtful about it said once."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import click

from diagnose.knowledge.card import VehicleCard, load_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library, is_path
from diagnose.terms import FlawedKnowledge, WrongUsage
from diagnose.walking.places import usual_card


def usual_file(given: Path | None) -> Path:
    """The card that was named, else the one at the usual place; raises WrongUsage where there is neither."""
    if given is not None:
        return given
    path = usual_card()
    if not os.path.lexists(path):
        raise WrongUsage(f"no card is named, and none stands at {path}; to make one: diagnose card new")
    return path


def card_by_default(library: Library) -> VehicleCard | None:
    """The card at the usual place, if there is one. A flawed one is left aside, and its flaws are told."""
    path = usual_card()
    if not os.path.lexists(path):
        return None
    try:
        return card_at_hand(str(path), library)
    except FlawedKnowledge as error:
        for flaw in error.flaws:
            click.echo(str(flaw), err=True)
        click.echo(f"So the card {path} is left aside this time.", err=True)
        return None


def card_named(vehicle: str, library: Library) -> VehicleCard:
    """The card behind `--vehicle` where that takes a path alone; raises WrongUsage, FlawedKnowledge."""
    if not is_path(vehicle):
        raise WrongUsage(
            f"--vehicle takes the path of a card, such as {vehicle}.yaml (to make one: diagnose card new)"
        )
    return card_at_hand(vehicle, library)


def card_at_hand(path: str, library: Library) -> VehicleCard:
    """The card in a file; raises FlawedKnowledge with every flaw of it. Advice on it goes to stderr."""
    card = load_card(Path(path), CardWords(library), date.today())
    for advice in card.advice:
        click.echo(str(advice), err=True)
    return card
