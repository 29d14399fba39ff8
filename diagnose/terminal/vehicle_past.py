"""What the case store tells of a vehicle: a stop that nobody has cleared, and starts of the last day."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from diagnose.cases.records import CaseRecord
from diagnose.cases.rounds_records import RoundRecord
from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import CaseStore
from diagnose.knowledge.collection import Library
from diagnose.rounds.clearing import cleared_on_a_round, stopped_by_round
from diagnose.terms import DiagnoseError, Tree
from diagnose.walking import earlier
from diagnose.walking.past import TRIES_ARE_KEPT


@dataclass(frozen=True, slots=True)
class VehiclePast:
    """The cases and rounds of one vehicle in the store."""

    store: CaseStore
    trees: Library
    vehicle: str
    by_default: bool = False
    """Whether the vehicle is taken because its card stands at the usual place, and nobody named it."""

    def stopped_by(self) -> str | None:
        """The referral by which the vehicle's last walk or round was stopped and not cleared."""
        newest = [self.store.newest_first(name) for name in self._names]
        merged = heapq.merge(*newest, key=lambda each: (each.changed, each.case), reverse=True)
        rounds = [each for name in self._names for each in rounds_kept(self.store, vehicle=name)]
        cleared = partial(cleared_on_a_round, rounds)
        by_walk = earlier.stopped_by(map(self._as_this_vehicle, merged), self.vehicle, self._tree_of, cleared)
        return by_walk or self._stopped_by_round(rounds)

    def starts_within_a_day(self, tree: Tree, now: datetime, apart_from: int | None = None) -> int:
        """How often the appliance was started within the last day, in cases other than `apart_from`.

        Nothing is asked of the store for a tree that counts no starts.
        """
        cases = self._cases_of_the_last_day(tree.id, now) if tree.tries is not None else ()
        return earlier.starts_within_a_day(cases, tree, self.vehicle, now, apart_from)

    def _stopped_by_round(self, rounds: Sequence[RoundRecord]) -> str | None:
        """The referral by which danger on a round of this vehicle stopped it."""
        told = [line.time for each in rounds for line in each.lines if line.noted == "danger"]
        if not told:
            return None
        since = max(told)
        cases = [self.store.cases(vehicle=name, changed_from=since, own=True) for name in self._names]
        return stopped_by_round(rounds, (record for records in cases for record in records))

    def _cases_of_the_last_day(self, symptom: str, now: datetime) -> tuple[CaseRecord, ...]:
        """This vehicle's cases of a symptom that may still say something about a try of the last day."""
        since = now - TRIES_ARE_KEPT
        found = [
            self.store.cases(symptom=symptom, vehicle=name, changed_from=since, own=True)
            for name in self._names
        ]
        return tuple(self._as_this_vehicle(record) for records in found for record in records)

    @property
    def _names(self) -> tuple[str, ...]:
        """The names under which this vehicle has cases.

        Walks without a name, such as those before the card stood at the usual place, are taken to be of it:
        that asks one question too many rather than one too few.
        """
        return (self.vehicle, "") if self.by_default and self.vehicle else (self.vehicle,)

    def _as_this_vehicle(self, record: CaseRecord) -> CaseRecord:
        return replace(record, vehicle=self.vehicle)

    def _tree_of(self, symptom: str) -> Tree | None:
        try:
            return self.trees.tree(symptom)
        except DiagnoseError:
            return None
