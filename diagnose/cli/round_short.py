"""The best part of a round in so many minutes, by the trees' shares and by what this store's cases say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.rounds.shortest import Short, short
from diagnose.rounds.stakes import Stake, stake_of
from diagnose.rounds.worth import ranked, saved_by
from diagnose.terms import DiagnoseError, Tree

if TYPE_CHECKING:
    from diagnose.cli.round_at_hand import AtHand
    from diagnose.rounds.sitting import Sitting

DAYS_OF_A_YEAR = 365.25


def short_of(there: AtHand, sitting: Sitting, minutes: float) -> Short:
    """What is done of the open tasks; safety tasks are always among them."""
    open_tasks, facts = sitting.open_tasks(), sitting.past.facts
    wake_up = there.round("wake-up").tasks if sitting.round.id in ("journey", "hand-over") else None
    stakes = _stakes(there, {tree for task in open_tasks.values() for tree in task.opens})
    worths = ranked(open_tasks, stakes, _vehicle_years(there), facts, wake_up)
    done = frozenset(sitting.round.tasks) - open_tasks.keys()
    places = there.desk.trees.common().places
    return short(sitting.round.tasks, sitting.round.after, places, minutes, saved_by(worths), done)


def _stakes(there: AtHand, trees: set[str]) -> dict[str, Stake]:
    from diagnose.reasoning.model import build_model

    desk, found = there.desk, {}
    others = frozenset(desk.trees.ids())
    for id in sorted(trees):
        try:
            tree: Tree = desk.trees.tree(id)
        except DiagnoseError:
            continue  # a broken tree of one's own is told when it is walked
        tally = desk.store.tally(tree.id, desk.clock(), desk.settings.half_life)
        found[id] = stake_of(build_model(tree, "owner", desk.settings, tally, others))
    return found


def _vehicle_years(there: AtHand) -> float:
    """For how long the store's cases were looked out for: its vehicles times the years since its first."""
    cases = there.desk.store.cases(own=True)
    if not cases:
        return 0.0
    vehicles = {case.vehicle.strip().casefold() for case in cases}
    years = (there.desk.clock() - min(case.opened for case in cases)).days / DAYS_OF_A_YEAR
    return len(vehicles) * years
