"""What past cases count where a store is named on the command line."""

from __future__ import annotations

from diagnose.terms import Tally, Tree


def tally_from(tree: Tree, store: str | None, half_life: float | None) -> Tally:
    """The sums of a store for one tree; without a store the file's own figures rule."""
    if store is None:
        return Tally()
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    with open_store(store) as kept:
        return kept.tally(tree.id, datetime.now(UTC), half_life)
