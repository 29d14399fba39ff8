"""Where this program keeps things on a machine. Resolved on use, so that an environment can change it."""

from __future__ import annotations

import os
from pathlib import Path

_NAME = "leisure-fault-diagnosis"


def cache_folder() -> Path:
    """Where compiled routes are kept; everything in it can be made again. `DIAGNOSE_CACHE` wins."""
    given = os.environ.get("DIAGNOSE_CACHE")
    if given:
        return Path(given)
    from platformdirs import user_cache_path

    return user_cache_path(_NAME, appauthor=False)


def data_folder() -> Path:
    """Where cases and settings are kept."""
    from platformdirs import user_data_path

    return user_data_path(_NAME, appauthor=False)


def usual_card() -> Path:
    """Where the card of one's own vehicle stands: a walk at a terminal takes it by itself."""
    return data_folder() / "my-vehicle.yaml"


def card_offer_note() -> Path:
    """Where it is kept that no card is wanted."""
    return data_folder() / "card-offer.json"


def store_url(given: str | None = None) -> str:
    """The case store: what was given, else `DIAGNOSE_CASES`, else a file in the data folder."""
    return given or os.environ.get("DIAGNOSE_CASES") or str(data_folder() / "cases.sqlite")


def tree_folders(given: tuple[Path, ...] = ()) -> tuple[Path, ...]:
    """Folders of one's own trees: what was given, else those of `DIAGNOSE_TREES`, joined as in PATH."""
    if given:
        return given
    named = os.environ.get("DIAGNOSE_TREES", "").split(os.pathsep)
    return tuple(Path(folder) for folder in named if folder)
