"""`diagnose page`: one file for a phone that walks the trees without a network."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.counted import tally_from
from diagnose.cli.options import role_option, target_option, trees_option
from diagnose.cli.output import write_out
from diagnose.terms import Flaw, FlawedKnowledge, Role, Settings, Tree, WrongUsage

if TYPE_CHECKING:
    from diagnose.drawing.offline.rounds_worth_data import WorthLooking
    from diagnose.knowledge.card import VehicleCard
    from diagnose.knowledge.collection import Library
    from diagnose.reasoning.model import Model
    from diagnose.reasoning.route import Route

FEW = 3
"""Up to so many routes are worked out in a few seconds."""

HELP = """Make one file of HTML that walks the trees on a phone, with no network at all.

ID is a symptom's id (see: diagnose symptoms) or the path of a tree file; without one the page holds them all.
Copy the file to the phone and open it there. It loads nothing and sends nothing; what is answered stays on
the phone.

\b
Examples:
  diagnose page -o page.html
  diagnose page heater-no-fire gas-gone -o gas.html
  diagnose page --vehicle blue-van.yaml -o blue-van.html

With a vehicle's card (to make one: diagnose card new) the page knows its facts and numbers, and leaves out
what is for other vehicles.
"""


@click.command(help=HELP)
@click.argument("words", metavar="[ID]...", nargs=-1)
@click.option("--vehicle", metavar="CARD", help="The card of the vehicle that the page is for.")
@role_option("Who walks: a technician is given steps that an owner is not.")
@target_option("The file to write; else standard output.")
@trees_option
@click.option(
    "--cases", "store", metavar="URL", help="Let the cases kept there count in the page; else none do."
)
def command(
    words: tuple[str, ...],
    vehicle: str | None,
    role: Role,
    target: Path | None,
    folders: tuple[Path, ...],
    store: str | None,
) -> None:
    """Make the page."""
    from diagnose.cli.settings import country_of, read_settings
    from diagnose.knowledge.collection import Library

    if target is None and sys.stdout.isatty():
        raise WrongUsage(
            "the page is one long line of HTML: write it to a file, as in diagnose page -o page.html"
        )
    settings, library = read_settings(), Library(folders)
    card = _card(vehicle, library)
    if card is not None and card.country is not None:
        settings = replace(settings, country=card.country)
    country_of(settings, library.common().countries)
    trees = list(_for_this_vehicle(_trees(library, words), card, named=bool(words)))
    text = _page(library, trees, role, settings, card, store)
    if write_out(text, target):
        symptoms = "1 symptom" if len(trees) == 1 else f"{len(trees)} symptoms"
        size = len(text.encode()) / 1e6
        click.echo(f"Written to {target}: {symptoms}, {size:.1f} MB. Copy it to the phone and open it there.")


def _card(vehicle: str | None, library: Library) -> VehicleCard | None:
    if vehicle is None:
        return None
    from diagnose.cli.vehicle import card_named

    return card_named(vehicle, library)


def _trees(library: Library, words: tuple[str, ...]) -> list[Tree]:
    """The trees that were named, each once; all of them where none was.

    Raises FlawedKnowledge with the flaws of all of them, WrongUsage for two trees of one id.
    """
    trees: dict[str, tuple[str, Tree]] = {}
    flaws: list[Flaw] = []
    for word in dict.fromkeys(words or library.ids()):
        try:
            tree = library.tree(word)
        except FlawedKnowledge as error:
            flaws += error.flaws
            continue
        other, known = trees.setdefault(tree.id, (word, tree))
        if known.digest != tree.digest:
            raise WrongUsage(f'{other} and {word} are both called "{tree.id}": a page holds one of them')
    if flaws:
        raise FlawedKnowledge(tuple(flaws))
    return [tree for _, tree in trees.values()]


def _for_this_vehicle(trees: list[Tree], card: VehicleCard | None, *, named: bool) -> Iterator[Tree]:
    """As the card's instruments read them; those for other vehicles only where they were named."""
    from diagnose.walking.carded import fitted

    facts = {fact.check: fact.answer for fact in card.facts} if card is not None else {}
    for tree in trees:
        fits = all(
            facts.get(fact, "not-sure") in (*these, "not-sure") for fact, these in tree.applies_to.items()
        )
        if fits or named:
            yield fitted(tree, card)
        else:
            click.echo(f"Left out, being for other vehicles than this one: {tree.id}", err=True)


def _page(
    library: Library,
    trees: list[Tree],
    role: Role,
    settings: Settings,
    card: VehicleCard | None,
    store: str | None,
) -> str:
    from diagnose.drawing.offline.data import Page
    from diagnose.drawing.offline.page import offline_page
    from diagnose.reasoning.model import build_model

    models = [
        build_model(
            tree,
            role,
            settings,
            tally_from(tree, store, settings.half_life),
            other_trees=frozenset(library.ids()),
            cannot=card.cannot if card is not None else frozenset(),
        )
        for tree in trees
    ]
    walks = tuple(zip(models, _routes(models), strict=True))
    names = {heading.id: heading.symptom for heading in library.headings()}
    page = Page(
        library.common(), walks, date.today(), role, settings.country, card, store is not None, names,
        library.rounds(), _worth(library, settings, store),
    )  # fmt: skip
    return offline_page(page)


def _worth(library: Library, settings: Settings, store: str | None) -> WorthLooking:
    """What the trees that tasks open say of the rounds, those among them that the page does not hold."""
    from diagnose.cli.round_short import opened, vehicle_years
    from diagnose.drawing.offline.rounds_worth_data import WorthLooking
    from diagnose.rounds.stakes import stake_of
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import minutes_kept

    tasks = [task for round in library.rounds().values() for task in round.tasks.values()]
    models = opened(
        library,
        {tree for task in tasks for tree in task.opens},
        settings,
        lambda tree: tally_from(tree, store, settings.half_life),
    )
    folder = cache_folder()
    stakes = {id: stake_of(model, minutes=minutes_kept(model, folder)) for id, model in models.items()}
    if store is None:
        return WorthLooking(models, stakes)
    from diagnose.cases.store import open_store

    with open_store(store) as kept:
        return WorthLooking(models, stakes, vehicle_years(kept, datetime.now(UTC)))


def _routes(models: list[Model]) -> list[Route]:
    """The proved route of each; says so where many of them have to be worked out, for that takes its time."""
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import route_digest, route_for

    folder = cache_folder()
    fresh = sum(not (folder / f"{route_digest(model)}.json").exists() for model in models)
    if fresh > FEW:
        click.echo(
            f"{fresh} routes are worked out now and kept for the next time; it takes a minute.", err=True
        )
    return [route_for(model, folder) for model in models]
