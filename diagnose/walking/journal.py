"""Where a walk writes what happens: in a case store, or nowhere but in memory.

A line is durable before the next question shows, so whatever breaks, at most the answer being typed is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any, Protocol

from diagnose.cases.records import CaseRecord, Entry
from diagnose.terms import State


class Journal(Protocol):
    """What a walk needs of whatever keeps its lines."""

    def append(self, entry: Entry) -> Entry:
        """Add a line; it is durable when this returns. Returns it with its number."""

    def settle(self, state: State, referral: str = "", points_to: str = "") -> None:
        """Note how the case stands: `open` again, or ended; whom it went to, or what the cure points to."""


class Store(Protocol):
    """What a journal needs of the case store (`diagnose.cases.store.CaseStore`)."""

    def append(self, case: int, entry: Entry) -> Entry:
        """Add a line, durably."""

    def end_case(
        self, case: int, state: State, now: datetime, referral: str = "", points_to: str = ""
    ) -> Any:
        """Note how the case ended."""

    def reopen(self, case: int, now: datetime) -> Any:
        """Open an ended case again."""

    def case(self, case: int) -> CaseRecord:
        """The case as stored."""


class CaseJournal:
    """The lines of one case in a store."""

    def __init__(self, store: Store, case: int, clock: Callable[[], datetime]) -> None:
        self._store, self._case, self._clock = store, case, clock

    def append(self, entry: Entry) -> Entry:
        """Add the line to the case."""
        return self._store.append(self._case, entry)

    def settle(self, state: State, referral: str = "", points_to: str = "") -> None:
        """Note the case's state; one that is open already is left as it is."""
        if state != "open":
            self._store.end_case(self._case, state, self._clock(), referral, points_to)
        elif self._store.case(self._case).state != "open":
            self._store.reopen(self._case, self._clock())


class MemoryJournal:
    """Lines that are gone with the program: where no case is kept, and in tests."""

    def __init__(self) -> None:
        self.lines: list[Entry] = []
        self.state: State = "open"
        self.referral = ""
        self.points_to = ""

    def append(self, entry: Entry) -> Entry:
        """Add the line and number it."""
        numbered = replace(entry, number=len(self.lines) + 1)
        self.lines.append(numbered)
        return numbered

    def settle(self, state: State, referral: str = "", points_to: str = "") -> None:
        """Note the state."""
        self.state, self.referral, self.points_to = state, referral, points_to
