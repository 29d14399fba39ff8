"""Where a round's lines are kept: the case store, or for a moment nowhere but here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from diagnose.cases.rounds_records import RoundLine, Stage

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore


class Book(Protocol):
    """What a round needs of the place where it is kept."""

    def lines(self) -> tuple[RoundLine, ...]:
        """Everything noted so far, also by others meanwhile."""
        ...

    def note(self, lines: Sequence[RoundLine]) -> None:
        """Add lines; they are durable when this returns."""
        ...

    def note_unless_danger(self, line: RoundLine, seen: int) -> None:
        """Add a line, but not where danger was told after the line with the number `seen`."""
        ...

    def set_stage(self, stage: Stage) -> None:
        """Leave the round off, end it, or take it up."""
        ...


class StoreBook:
    """A round in the case store."""

    def __init__(self, store: CaseStore, number: int, clock: Callable[[], datetime]) -> None:
        self.store, self.number, self.clock = store, number, clock

    def lines(self) -> tuple[RoundLine, ...]:
        """The round's lines as the store has them now."""
        from diagnose.cases.rounds_store import round_kept

        return round_kept(self.store, self.number).lines

    def note(self, lines: Sequence[RoundLine]) -> None:
        """One transaction for all of them."""
        from diagnose.cases.rounds_store import note

        note(self.store, self.number, lines)

    def note_unless_danger(self, line: RoundLine, seen: int) -> None:
        """Looked at and noted in one transaction."""
        from diagnose.cases.rounds_store import note_unless_danger

        note_unless_danger(self.store, self.number, line, seen)

    def set_stage(self, stage: Stage) -> None:
        """A stopped round stays stopped."""
        from diagnose.cases.rounds_store import set_stage

        set_stage(self.store, self.number, stage, self.clock())


class LooseBook:
    """A round that is kept nowhere: for what is only reckoned, and for tests."""

    def __init__(self, lines: Sequence[RoundLine] = ()) -> None:
        self.held = list(lines)
        self.stage: Stage = "open"

    def lines(self) -> tuple[RoundLine, ...]:
        """What was noted."""
        return tuple(self.held)

    def note(self, lines: Sequence[RoundLine]) -> None:
        """Keep them, numbered."""
        self.held += [replace(line, number=len(self.held) + place) for place, line in enumerate(lines, 1)]

    def note_unless_danger(self, line: RoundLine, seen: int) -> None:
        """As it stands now."""
        if not any(each.noted == "danger" and each.number > seen for each in self.held):
            self.note((line,))

    def set_stage(self, stage: Stage) -> None:
        """Keep the word."""
        self.stage = stage
