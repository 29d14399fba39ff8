"""A round of the shipped ones for a known vehicle, and how it is gone through to the end."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from diagnose.knowledge.collection import Library
from diagnose.rounds.book import LooseBook
from diagnose.rounds.going import Going
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.views import AllSeen, TaskShown
from diagnose.terms import Finding

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LIBRARY = Library()
FACTS = {
    "build": "motorhome",
    "months-laid-up": "season",
    "drained": "all",
    "fridge-sources": "three-way",
    "heater-fuel": "gas",
    "water-heater": "gas",
    "stored": "outdoors",
    "battery": "agm",
}
KNOWN = tuple(Finding(fact, answer) for fact, answer in FACTS.items())


class Clock:
    """A clock that goes on by a minute at each look."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


def going(book: LooseBook | None = None, *, name: str = "wake-up", **more: object) -> Going:
    more.setdefault("vehicle", Vehicle(KNOWN))
    there = book if book is not None else LooseBook()
    return Going(LIBRARY.round(name), LIBRARY.common(), there, Clock(), **more)  # type: ignore[arg-type]


def walked_to_the_end(round: Going, end: Callable[[str], str]) -> list[str]:
    """The tasks in the order in which they were shown, each marked as `end` says."""
    shown = []
    view = round.view()
    while isinstance(view, TaskShown):
        shown.append(view.task.id)
        view = round.mark(view.task.id, end(view.task.id))  # type: ignore[arg-type]
    assert isinstance(view, AllSeen)
    return shown
