"""The cards of a fleet: every vehicle's card in one folder, or every flaw that any of them has."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from diagnose.knowledge.card import VehicleCard, read_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import Scalar
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
    try:
        found = sorted(folder.iterdir())
    except OSError as error:
        raise WrongUsage(f"cannot read the folder {quoted(str(folder))}: {error.strerror}") from None
    paths = [path for path in found if path.suffix.lower() == _CARDS]
    misnamed = [path for path in found if path.suffix.lower() in _NEARLY]
    flaws = [
        Flaw(shown(path), 1, 1, f"is not read: a card ends in {_CARDS}, this file in {path.suffix}")
        for path in misnamed
        if path.suffix.lower() == ".yml"
    ]
    cards: list[VehicleCard] = []
    names: dict[str, str] = {}
    for path in paths:
        file = shown(path)
        try:
            card = read_card(read_bytes(path, file), file, words, today)
        except FlawedKnowledge as error:
            flaws += error.flaws
            label = _label(path, file)
            names[file] = label.value if label is not None else ""
        else:
            cards.append(card)
            names[file] = card.name
    flaws += _twice(names, {shown(path): path for path in paths})
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


def _twice(names: Mapping[str, str], paths: Mapping[str, Path]) -> list[Flaw]:
    """A flaw for each card of a vehicle that has one already, also where the card has other flaws."""
    first: dict[str, str] = {}
    flaws = []
    for file, name in names.items():
        before = first.setdefault(vehicle_key(name), file)
        if before != file and name:
            label = _label(paths[file], file)
            line, column = (label.line, label.column) if label is not None else (1, 1)
            flaws.append(Flaw(file, line, column, f"{quoted(name)} has two cards; the other is {before}"))
    return flaws


def _label(path: Path, file: str) -> Scalar | None:
    """What a card gives as its label, if it can be read so far."""
    try:
        root, _ = compose(read_bytes(path, file), file)
    except FlawedKnowledge:
        return None
    nodes = [node for key, node in root.pairs if key.value == "label"] if root is not None else []
    return next((node for node in nodes if isinstance(node, Scalar)), None)
