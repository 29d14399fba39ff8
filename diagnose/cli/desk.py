"""What a walk or a round at the prompt rests on, as the command line and the settings name it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import Role

if TYPE_CHECKING:
    from diagnose.terminal.desk import Desk


def desk_at_hand(
    vehicle: str, role: Role, hurry: bool, store: str | None, folders: tuple[Path, ...], *, usual: bool
) -> Desk:
    """What a visit rests on; `usual` says whether a card at the usual place counts, or may be offered."""
    from diagnose.cli.settings import country_of, read_settings
    from diagnose.cli.vehicle import card_at_hand, card_by_default
    from diagnose.knowledge.collection import Library, is_path
    from diagnose.terminal.desk import Desk
    from diagnose.terminal.offering import UsualPlace
    from diagnose.walking.calling import whom_to_call
    from diagnose.walking.places import card_offer_note, store_url, usual_card

    settings = read_settings()
    library = Library(folders)
    card = card_at_hand(vehicle.strip(), library) if is_path(vehicle.strip()) else None
    if usual:
        card = card_by_default(library)
    if card is not None and card.country is not None:
        settings = replace(settings, country=card.country)
    countries = library.common().countries if settings.country else {}
    country_of(settings, countries)
    return Desk(
        library,
        store_url(store),
        settings,
        whom_to_call(countries, settings),
        role,
        card.name if card is not None else " ".join(vehicle.split()),  # a stop is found again by the name
        hurry,
        options_to_repeat(store, folders),
        card=card,
        by_default=usual and card is not None,
        usual=UsualPlace(usual_card(), card_offer_note()) if usual else None,
    )
