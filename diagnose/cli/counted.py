"""What past cases count where a store is named on the command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from diagnose.terms import Tally, Tree


def tally_from(tree: Tree, store: str | None, half_life: float | None) -> Tally:
    """The sums of a store for one tree; without a store the file's own figures rule."""
    if store is None:
        return Tally()
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    with open_store(store) as kept:
        return kept.tally(tree.id, datetime.now(UTC), half_life)


def counted_as_json(tally: Tally) -> dict[str, Any]:
    """How many confirmed cases count; by ending how many there are, how many came back, what one weighs."""
    from diagnose.reasoning.learning import returns

    return {"confirmed": tally.total, "endings": [asdict(each) for each in returns(tally)]}


def counted_in_words(counted: dict[str, Any]) -> str:
    """The same as plain sentences; nothing where no case counts."""
    from diagnose.reasoning.learning import Return
    from diagnose.terminal.returning import ranked_from

    return ranked_from(counted["confirmed"], [Return(**each) for each in counted["endings"]])
