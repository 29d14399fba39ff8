"""A fleet from its cards and the store: each vehicle's round read, judged and planned.

Reads rounds and cases of one vehicle at a time, by their index, and keeps none of them: what is kept grows
with the number of vehicles alone. Vehicles with the same tasks open are planned once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from diagnose.cases.records import CaseRecord
from diagnose.cases.refusals import NoSuchCase
from diagnose.cases.rounds_records import RoundRecord
from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.common import Common
from diagnose.rounds.again import COUNTS_FOR
from diagnose.rounds.clearing import cleared_on_a_round, stopped_by_round
from diagnose.rounds.due import due_dates
from diagnose.rounds.fleet import Fleet, FleetVehicle, fleet_of
from diagnose.rounds.fleet_cards import vehicle_key
from diagnose.rounds.fleet_needs import (
    CHECKED_BY,
    Errand,
    OpenWalk,
    date_errands,
    looked_at_again,
    of_case,
    of_wrong,
    parts_of,
    settled,
    to_clear,
)
from diagnose.rounds.fleet_walks import Walks
from diagnose.rounds.ordering import Plan, planned
from diagnose.rounds.past import RoundPast, past_of
from diagnose.rounds.presence import tasks_there
from diagnose.rounds.verdict import CHECKS, judged
from diagnose.rounds.verdict_statements import reason_in_words
from diagnose.terms import Tree
from diagnose.terms.rounds import Round, Task, TaskMark
from diagnose.walking.earlier import stopped_by

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore

LATELY = 183
"""Days for which a case that came to no good end is told (judgement)."""


@dataclass(frozen=True, slots=True)
class Gathering:
    """What a fleet is read with."""

    round: Round
    common: Common
    walks: Walks
    tree_of: Callable[[str], Tree | None]
    now: datetime
    today: date

    def fleet(self, cards: Iterable[VehicleCard], store: CaseStore | None) -> Fleet:
        """The fleet of some cards; without a store no vehicle has begun its round."""
        plans: dict[frozenset[str], Plan] = {}
        keys, vehicles = set(), []
        for card in cards:
            keys.add(vehicle_key(card.name))
            vehicles.append(self._vehicle(card, store, plans))
        strangers = self._without_card(store, keys) if store is not None else ()
        return fleet_of(self.round.id, self.round.says, self.today, vehicles, strangers)

    def _vehicle(
        self, card: VehicleCard, store: CaseStore | None, plans: dict[frozenset[str], Plan]
    ) -> FleetVehicle:
        record, cases, stopped = self._known(card, store)
        dues = due_dates(card, self.today, driver=False)
        over = tuple(due.of for due in dues if due.over)
        past = past_of(self.round, record.lines if record is not None else (), card.facts, over)
        there = tasks_there(self.round, past.facts)
        by_number = {case.case: case for case in cases}
        good = {case.case for case in cases if settled(case)}
        found = judged(
            self.round,
            past.every_mark,
            card,
            self.today,
            facts=past.facts,
            settled=good,
            stopped=stopped is not None,
        )
        left = frozenset(id for id in there if _is_left(there[id], past.marks.get(id), by_number))
        plan = self._plan(left, plans)
        unchecked = tuple(of for of, about in CHECKS.items() if of in CHECKED_BY and about in found.unchecked)
        walks, errands = self._needs(there, past, by_number, left)
        errands = (*to_clear(stopped, errands), *errands, *date_errands(over, unchecked))
        return FleetVehicle(
            name=card.name,
            file=card.file,
            verdict=found.verdict,
            reasons=tuple(reason_in_words(each, found) for each in found.reasons),
            must_not_use=found.must_not_use,
            begun=record.begun.astimezone().date() if record is not None else None,
            stopped=stopped is not None,
            tasks=len(there),
            left=plan.order,
            round_minutes=plan.minutes,
            walks=walks,
            errands=errands,
            parts=tuple(
                part for id, task in there.items() for part in parts_of(task, past.marks.get(id), over)
            ),
            overdue=tuple(due for due in dues if due.over),
            facts=past.facts,
        )

    def _known(
        self, card: VehicleCard, store: CaseStore | None
    ) -> tuple[RoundRecord | None, tuple[CaseRecord, ...], str | None]:
        """A vehicle's round that counts, its cases (of late, and the round's), and who has to clear it."""
        from diagnose.cases.rounds_store import rounds_kept

        if store is None:
            return None, (), None
        rounds = rounds_kept(store, vehicle=card.name)
        record = next((each for each in rounds if each.round == self.round.id and self._counts(each)), None)
        since = self.now - timedelta(days=LATELY)
        cases = store.cases(vehicle=card.name, own=True, opened_from=since)
        known = {case.case for case in cases}
        lines = record.lines if record is not None else ()
        missing = sorted({line.case for line in lines if line.case is not None} - known)
        cases += tuple(case for number in missing if (case := _case(store, number)) is not None)
        stopped = stopped_by_round(rounds, store.newest_first(card.name))
        if stopped is None:
            cleared = partial(cleared_on_a_round, rounds)
            stopped = stopped_by(store.newest_first(card.name), card.name, self.tree_of, cleared)
        return record, cases, stopped

    def _counts(self, record: RoundRecord) -> bool:
        return record.begun >= self.now - timedelta(days=COUNTS_FOR[self.round.id])

    def _plan(self, left: frozenset[str], plans: dict[frozenset[str], Plan]) -> Plan:
        if left not in plans:
            done = frozenset(self.round.tasks) - left
            plans[left] = planned(self.round.tasks, self.round.after, self.common.places, done)
        return plans[left]

    def _needs(
        self,
        there: Mapping[str, Task],
        past: RoundPast,
        cases: Mapping[int, CaseRecord],
        left: frozenset[str],
    ) -> tuple[tuple[OpenWalk, ...], tuple[Errand, ...]]:
        """Open walks and errands: of tasks that are wrong, then of other cases of late, each case once."""
        found: list[OpenWalk | Errand | None] = [
            of_wrong(there[id], mark, cases, self.walks)
            for id, mark in past.marks.items()
            if id in there and mark.end == "wrong" and id not in left
        ]
        told = {each.case for each in found if each is not None}
        found += [of_case(case, self.walks) for case in _latest(cases.values()) if case.case not in told]
        walks = [each for each in found if isinstance(each, OpenWalk)]
        return _each_once(walks), tuple(each for each in found if isinstance(each, Errand))

    def _without_card(self, store: CaseStore, keys: set[str]) -> tuple[str, ...]:
        from diagnose.cases.rounds_store import rounds_kept

        going = rounds_kept(store, round=self.round.id, stages=("open", "left-off", "stopped"))
        names = {vehicle_key(each.vehicle): each.vehicle for each in going if self._counts(each)}
        return tuple(sorted(name for key, name in names.items() if key and key not in keys))


def _is_left(task: Task, mark: TaskMark | None, cases: Mapping[int, CaseRecord]) -> bool:
    """Whether a task is still to be done: nobody looked at it to an end, or it is looked at once more.

    So it is where its case came to a good end, and where it is wrong for its date alone, or for what is put
    right on the spot: no walk is opened, and who replaces what is over its date is told by the date.
    """
    if mark is None or mark.end == "not-done":
        return True
    if mark.end != "wrong":
        return False
    on_the_spot = not task.opens and task.refer is None
    return on_the_spot or mark.of_date or looked_at_again(mark, cases)


def _each_once(walks: Sequence[OpenWalk]) -> tuple[OpenWalk, ...]:
    """One walk for each tree: a case that is open is gone on with before another is begun."""
    begun = {walk.tree for walk in walks if walk.case is not None}
    kept: dict[tuple[str, int | None], OpenWalk] = {}
    for walk in walks:
        if walk.case is not None or walk.tree not in begun:
            kept.setdefault((walk.tree, walk.case), walk)
    return tuple(kept.values())


def _latest(cases: Iterable[CaseRecord]) -> tuple[CaseRecord, ...]:
    """The latest case of each symptom."""
    latest: dict[str, CaseRecord] = {}
    for case in sorted(cases, key=lambda each: (each.opened, each.case)):
        latest[case.symptom] = case
    return tuple(latest.values())


def _case(store: CaseStore, number: int) -> CaseRecord | None:
    """A case by its number; None where it was forgotten."""
    try:
        return store.case(number)
    except NoSuchCase:
        return None
