"""What the page knows: all that trees share as one document, and each tree as one of its own.

A tree is a document of its own so that a phone reads what it is asked for and no more. A vehicle's card adds
what holds on every later day as well: its facts, whereabouts and numbers. What hangs on the day (that an
alarm is past its end date) goes with the day from which it is so, and the page looks at its own clock; what
a date tells of an age is asked instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from diagnose import __version__
from diagnose.drawing.offline.code_data import code_format, code_places
from diagnose.drawing.offline.practise_data import practise_common, practise_tree
from diagnose.drawing.offline.rounds_data import rounds_data
from diagnose.drawing.offline.rounds_worth_data import WorthLooking
from diagnose.drawing.offline.sheet_data import sheet_data
from diagnose.drawing.offline.tree_data import (
    caution_data,
    check_data,
    place_data,
    referral_data,
    tree_data,
)
from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.common import Common
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route
from diagnose.terms import Finding, Role, Tree
from diagnose.terms.rounds import Round, RoundId
from diagnose.walking.carded import due_on, findings_ahead, in_words, overdue
from diagnose.walking.danger_words import ANY_DANGER, stop_text

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Page:
    """What a page is made of; everything in it is decided before it is made."""

    common: Common
    walks: tuple[tuple[Model, Route], ...]
    """The model and the proved route of each tree."""
    made: date
    role: Role = "owner"
    country: str | None = None
    card: VehicleCard | None = None
    learned: bool = False
    """Whether past cases count."""
    names: Mapping[str, str] = field(default_factory=dict)
    """Tree -> its symptom, of trees to which one of these may hand over."""
    rounds: Mapping[RoundId, Round] = field(default_factory=dict)
    worth: WorthLooking | None = None
    """What the trees that tasks open say of these; None where nothing of it is told."""


def common_data(page: Page) -> Values:
    """The document that all trees share."""
    common = page.common
    told: Values = _readable(
        {
            "version": __version__,
            "made": page.made.isoformat(),
            "role": page.role,
            "country": page.country,
            "learned": page.learned,
            "vehicle": _vehicle(page.card, page.made) if page.card is not None else None,
            "common": {
                "cautions": {id: caution_data(each) for id, each in common.cautions.items()},
                "referrals": {id: referral_data(each) for id, each in common.referrals.items()},
                "places": {id: place_data(each) for id, each in common.places.items()},
                "hazards": {
                    id: {"says": each.says, "caution": each.caution} for id, each in common.hazards.items()
                },
                "facts": {id: check_data(each) for id, each in common.facts.items()},
                "systems": {id: {"title": each.title} for id, each in common.systems.items()},
                "countries": {
                    id: {
                        "says": each.says,
                        "numbers": each.numbers,
                        "gasRegister": each.gas_register,
                        "units": each.units,
                    }
                    for id, each in common.countries.items()
                },
            },
            "trees": [_heading(model.tree) for model, _ in _in_order(page)],
            "elsewhere": _elsewhere(page),
            "dangerTold": _danger_told(common),
            "code": code_format(),
            "sheet": sheet_data(),
            "practise": practise_common(),
            "rounds": rounds_data(page.rounds, common, page.card, page.made, page.worth),
        }
    )
    return told


def each_tree(page: Page) -> list[Values]:
    """The documents of the trees, in the order of their headings."""
    common = (page.common.cautions, page.common.referrals, page.common.places)
    titles = {model.tree.id: model.tree.symptom for model, _ in page.walks}
    return [
        _readable(
            tree_data(model, route, _ahead(model.tree, page), common)
            | {"code": code_places(model.tree), "practise": practise_tree(model, route, titles)}
        )
        for model, route in _in_order(page)
    ]


def _danger_told(common: Common) -> Values:
    """The stop for danger told before any symptom is known: it may be any, so all texts are shown."""
    told = stop_text(ANY_DANGER, common.referrals, "{number}")
    return {"first": told.first, "referrals": [referral.id for referral in told.referrals]}


def _in_order(page: Page) -> Sequence[tuple[Model, Route]]:
    """By system as in the common file, then by id; a system of one's own comes last."""
    systems = list(page.common.systems)

    def order(walk: tuple[Model, Route]) -> tuple[int, str]:
        tree = walk[0].tree
        return (systems.index(tree.system) if tree.system in systems else len(systems), tree.id)

    return sorted(page.walks, key=order)


def _heading(tree: Tree) -> Values:
    return {
        "id": tree.id,
        "symptom": tree.symptom,
        "alsoSaid": tree.also_said,
        "system": tree.system,
        "shipped": tree.shipped,
    }


def _elsewhere(page: Page) -> dict[str, str]:
    """The symptoms of trees to which the page hands over without holding them."""
    here = {model.tree.id for model, _ in page.walks}
    named = {node.of for _, route in page.walks for node in route.nodes if node.kind == "handover"}
    return {id: symptom for id, symptom in sorted(page.names.items()) if id in named - here}


def _ahead(tree: Tree, page: Page) -> list[Finding]:
    """The facts of the card that this tree uses; no danger question is ever answered ahead."""
    found = findings_ahead(tree, page.card, page.made)
    return [finding for finding in found if finding.check in tree.facts]


def _vehicle(card: VehicleCard, today: date) -> Values:
    due = {id: first for id, day in card.dates.items() if (first := due_on(DATES[id], day)) is not None}
    alarm = due.get("alarm")
    ends = in_words(card.dates["alarm"]) if alarm is not None else ""
    return {
        "name": card.name,
        "numbers": dict(card.numbers),
        "where": dict(card.where),
        "cannot": sorted(card.cannot),
        "alarm": {"from": alarm.isoformat(), "says": ends} if alarm is not None else None,
        "due": [
            {"from": first.isoformat(), "says": each.says}
            for id, first in due.items()
            for each in overdue(card, max(first, today))
            if each.of == id
        ],
    }


def _readable(value: Any) -> Any:
    """The same values, in texts nothing that turns the direction of reading or cannot be seen."""
    if isinstance(value, str):
        return without_refused(value)
    if isinstance(value, dict):
        return {key: _readable(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_readable(each) for each in value]
    return value
