"""What a round on the command line rests on: its vehicle, its tasks, the store, and how it is judged."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.cli.desk import desk_at_hand
from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.rounds_records import RoundRecord, Stage
    from diagnose.cli.round_prevention import OfTheTrees
    from diagnose.rounds.book import Book
    from diagnose.rounds.going import Going
    from diagnose.rounds.outcome import Outcome
    from diagnose.rounds.past import RoundPast
    from diagnose.rounds.shortest import Short
    from diagnose.rounds.sitting import Vehicle
    from diagnose.rounds.verdict import Judged
    from diagnose.terminal.desk import Desk
    from diagnose.terms.rounds import Round


class NoRoundToResume(DiagnoseError):
    """No round is open or left off."""


class OtherRound(WrongUsage):
    """A kept round was named beside another round or vehicle."""


@dataclass(slots=True)
class AtHand:
    """A round's surroundings."""

    desk: Desk
    name: str | None
    who: str
    minutes: float | None
    """How long a short round may take; None for all of it."""
    short: Short | None = None
    """What a short round has, once it was worked out."""
    prevention: OfTheTrees | None = None
    """What the trees and this store's cases say for a lay-up or a wake-up, once it was looked up."""

    def round(self, name: str | None = None) -> Round:
        """The round that was named; raises UnknownRound."""
        return self.desk.trees.round(name or self.name or "")

    def whole_round(
        self,
        name: str | None = None,
        marked: Collection[str] = (),
        *,
        every: bool = False,
        ended: bool = False,
    ) -> Round:
        """The round with what the trees' preventions ask of this vehicle, where it is a lay-up.

        `marked` are ids that a kept round has; with `every` nothing is left out for being worth too little.
        One that has `ended` asks nothing new.
        """
        from diagnose.cli.round_prevention import with_the_trees

        return with_the_trees(self, self.round(name), marked, every=every, ended=ended)

    def today(self) -> date:
        """The day here."""
        return self.desk.clock().astimezone().date()

    def vehicle(self, *, stopped: bool = True) -> Vehicle:
        """What is known of the vehicle; with `stopped` the store is asked whether danger stopped it."""
        from diagnose.rounds.due import due_dates
        from diagnose.rounds.due_statements import due_statement
        from diagnose.rounds.sitting import Vehicle
        from diagnose.rounds.verdict_statements import DRIVERS_PAPER

        card = self.desk.card
        # What is told may be kept with a mark: of the driver's own papers no more than the verdict says.
        dues = due_dates(card, self.today())
        over = {
            due.of: f"{DRIVERS_PAPER}." if due.kind.driver else due_statement(due, self.today())
            for due in dues
            if due.over
        }
        return Vehicle(
            card.facts if card is not None else (),
            card.where if card is not None else {},
            over,
            frozenset(due.of for due in dues if due.written is not None and not due.over),
            self.desk.stopped_by() if stopped else None,
        )

    def going(self, round: Round, book: Book, *, stopped: bool = True) -> Going:
        """The round, gone through with that book."""
        from diagnose.rounds.going import Going

        vehicle = self.vehicle(stopped=stopped)
        going = Going(
            round,
            self.desk.trees.common(),
            book,
            self.desk.clock,
            vehicle,
            who=self.who,
            state_of=self.state_of,
            numbers=self.desk.calling.numbers,
        )
        from diagnose.cli.round_prevention import reasons_for

        going.reasons = reasons_for(self, round)
        if self.minutes is not None:
            from diagnose.cli.round_short import short_of

            self.short = short_of(self, going, self.minutes)
            going.only = frozenset(self.short.plan.order)
        return going

    def state_of(self, case: int) -> str:
        """How a case stands, `put-right` if it was handed over and confirmed since; nothing if forgotten."""
        try:
            record = self.desk.store.case(case)
        except DiagnoseError:
            return ""
        return "put-right" if record.state == "referred" and record.confirmed else record.state

    def come_to(self, going: Going, past: RoundPast | None = None) -> tuple[Outcome, Judged]:
        """Where a round stands, and the verdict."""
        from diagnose.rounds.outcome import outcome_of
        from diagnose.rounds.verdict import judged

        past = past or going.past
        cases = {mark.case for mark in past.every_mark if mark.case is not None}
        verdict = judged(
            going.round,
            past.every_mark,
            self.desk.card,
            self.today(),
            facts=past.facts,
            settled=self._settled(cases),
            stopped=going.stopped_by(past) is not None,
        )
        return outcome_of(going, self.desk.trees.common(), self.state_of, past), verdict

    def record(self, number: int | None) -> RoundRecord:
        """A kept round, or the newest that is not ended; raises NoSuchRound, NoRoundToResume, OtherRound."""
        from diagnose.cases.rounds_store import round_kept, rounds_kept

        if number is None:
            label = None if self.desk.by_default else self.desk.vehicle or None
            stages: tuple[Stage, ...] = ("open", "left-off", "stopped")
            name = self.round().id if self.name is not None else None
            found = rounds_kept(self.desk.store, round=name, vehicle=label, stages=stages, limit=1)
            if not found:
                raise NoRoundToResume("there is no round to go on with; to begin one: diagnose round wake-up")
            record = found[0]
        else:
            record = round_kept(self.desk.store, number)
        if self.name is not None and record.round != self.round().id:
            raise OtherRound(f"round {record.number} is a {record.round}, not a {self.name}")
        self._of_its_vehicle(record)
        return record

    def again(self, number: int) -> str:
        """What to type to go on with a round."""
        by = ("--by", self.who) if self.who else ()
        return self.desk.round_command(number, *by)

    def _of_its_vehicle(self, record: RoundRecord) -> None:
        desk = self.desk
        same = desk.vehicle.casefold() == record.vehicle.casefold()
        if not same and desk.by_default:
            desk.card, desk.by_default = None, False
        elif not same and desk.vehicle:
            of = f'"{record.vehicle}"' if record.vehicle else "a vehicle without a name"
            raise OtherRound(f'round {record.number} is of {of}, not of "{desk.vehicle}"')
        desk.vehicle = record.vehicle

    def _settled(self, cases: Iterable[int]) -> frozenset[int]:
        """Cases that came to a good end: cured, or handed over and confirmed since."""
        from diagnose.rounds.again import PUT_RIGHT

        return frozenset(case for case in cases if self.state_of(case) in PUT_RIGHT)


def at_hand(
    name: str | None,
    vehicle: str,
    who: str,
    minutes: float | None,
    store: str | None,
    folders: tuple[Path, ...],
    *,
    usual: bool,
) -> AtHand:
    """The surroundings; a round of that name has to be there. Raises UnknownRound, FlawedKnowledge."""
    there = AtHand(desk_at_hand(vehicle, "owner", False, store, folders, usual=usual), name, who, minutes)
    if name is not None:
        there.round()
    return there
