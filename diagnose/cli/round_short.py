"""The best part of a round in so many minutes, by the trees' shares and by what this store's cases say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.rounds.shortest import Short, short
from diagnose.rounds.stakes import Stake, stake_of
from diagnose.rounds.worth import ranked, saved_by
from diagnose.terms import DiagnoseError, Settings, Tally, Tree

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore
    from diagnose.cli.round_at_hand import AtHand
    from diagnose.knowledge.collection import Library
    from diagnose.reasoning.model import Model
    from diagnose.rounds.sitting import Sitting

DAYS_OF_A_YEAR = 365.25
LEAST_YEARS = 1.0
"""What a vehicle counts for at least; see `vehicle_years`."""


def short_of(there: AtHand, sitting: Sitting, minutes: float) -> Short:
    """What is done of the open tasks; safety tasks are always among them."""
    open_tasks, facts = sitting.open_tasks(), sitting.past.facts
    wake_up = there.round("wake-up").tasks if sitting.round.id in ("journey", "hand-over") else None
    own = {id: task for id, task in open_tasks.items() if not task.gathered}
    stakes = stakes_of(there, {tree for task in open_tasks.values() for tree in task.opens})
    worths = ranked(own, stakes, vehicle_years(there.desk.store, there.desk.clock()), facts, wake_up)
    saved = {**saved_by(worths), **_kept_away(there, stakes, facts)}
    done = frozenset(sitting.round.tasks) - open_tasks.keys()
    places = there.desk.trees.common().places
    return short(sitting.round.tasks, sitting.round.after, places, minutes, saved, done)


def _kept_away(there: AtHand, stakes: Mapping[str, Stake], facts: Mapping[str, str]) -> dict[str, float]:
    """The minutes that each task from the trees is expected to save."""
    if there.prevention is None:
        return {}
    from diagnose.rounds.preventions import valued

    found = (each.prevention for each in there.prevention.ranking)
    years = vehicle_years(there.desk.store, there.desk.clock())
    return {each.prevention.id: each.saved for each in valued(found, stakes, years, facts)}


def stakes_of(there: AtHand, trees: set[str]) -> dict[str, Stake]:
    """What is at stake with each tree, by its route where the cache has it: none is compiled for this."""
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import minutes_kept

    desk = there.desk

    def tally(tree: Tree) -> Tally:
        return desk.store.tally(tree.id, desk.clock(), desk.settings.half_life)

    models = opened(desk.trees, trees, desk.settings, tally)
    folder = cache_folder()
    return {id: stake_of(model, minutes=minutes_kept(model, folder)) for id, model in models.items()}


def opened(
    library: Library, trees: set[str], settings: Settings, tally: Callable[[Tree], Tally]
) -> dict[str, Model]:
    """The models of trees that tasks open, an owner's, as the cases of a store have changed them."""
    from diagnose.reasoning.model import build_model

    found, others = {}, frozenset(library.ids())
    for id in sorted(trees):
        try:
            tree = library.tree(id)
        except DiagnoseError:
            continue  # a broken tree of one's own is told when it is walked
        found[id] = build_model(tree, "owner", settings, tally(tree), others)
    return found


def vehicle_years(store: CaseStore, now: datetime) -> float:
    """For how long a store's cases were looked out for: its vehicles times the years since its first.

    A store's first case is of a fault that came in the year before: it is not that nobody looked until the
    day when the store was begun. So each vehicle counts for a year at least.
    """
    from diagnose.cases.counting import watched

    with store.reading() as connection:
        vehicles, first = watched(connection)
    if first is None:
        return 0.0
    return vehicles * max(LEAST_YEARS, (now - first).days / DAYS_OF_A_YEAR)
