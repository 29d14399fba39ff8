"""The cards of a fleet: every vehicle's card in one folder, or every flaw that any of them has."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

from diagnose.knowledge.card import VehicleCard, read_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import Node
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.terms import Flaw, FlawedKnowledge, WrongUsage

MOST_TOLD = 200
"""Flaws of all cards together that are told."""
_CARDS, _NEARLY = ".yaml", (".yml", ".json", ".txt")


def load_cards(
    folder: Path, words: CardWords, today: date, shown: Callable[[Path], str] = str
) -> tuple[VehicleCard, ...]:
    """The cards of a folder in the order of their files' names; what stands in folders within counts not.

    Raises WrongUsage for a folder that is not there or holds no card, FlawedKnowledge with the flaws of all
    cards at once, a vehicle that has two cards among them.
    """
    if not folder.is_dir():
        raise WrongUsage(f"there is no folder {quoted(str(folder))}")
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == _CARDS)
    misnamed = sorted(path for path in folder.iterdir() if path.suffix.lower() in _NEARLY)
    flaws = [
        Flaw(shown(path), 1, 1, f"is not read: a card ends in {_CARDS}, this file in {path.suffix}")
        for path in misnamed
        if path.suffix.lower() == ".yml"
    ]
    cards: list[VehicleCard] = []
    for path in paths:
        try:
            cards.append(read_card(read_bytes(path, shown(path)), shown(path), words, today))
        except FlawedKnowledge as error:
            flaws += error.flaws
    flaws += _twice(cards, {shown(path): path for path in paths})
    if flaws:
        raise FlawedKnowledge(tuple(sorted(flaws)[:MOST_TOLD]))
    if not cards:
        raise WrongUsage(f"{quoted(str(folder))} holds no card; cards end in {_CARDS} (diagnose card new)")
    return tuple(cards)


def vehicle_key(label: str) -> str:
    """What makes two labels the same vehicle: capitals, and blanks at the ends or in a row, do not differ.

    >>> vehicle_key(" Van  7")
    'van 7'
    """
    return " ".join(label.split()).casefold()


def _twice(cards: Iterable[VehicleCard], paths: dict[str, Path]) -> list[Flaw]:
    first: dict[str, VehicleCard] = {}
    flaws = []
    for card in cards:
        before = first.setdefault(vehicle_key(card.name), card)
        if before is not card:
            line, column = _place_of_label(paths[card.file], card.file)
            text = f"{quoted(card.name)} has two cards; the other is {before.file}"
            flaws.append(Flaw(card.file, line, column, text))
    return flaws


def _place_of_label(path: Path, file: str) -> tuple[int, int]:
    """Where a card gives its label; its beginning where the file's name is the vehicle's."""
    root, _ = compose(read_bytes(path, file), file)
    pairs: list[tuple[str, Node]] = (
        [(key.value, node) for key, node in root.pairs] if root is not None else []
    )
    return next(((node.line, node.column) for key, node in pairs if key == "label"), (1, 1))
