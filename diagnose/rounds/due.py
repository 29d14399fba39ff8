"""What of a vehicle's card is due, and when: overdue first, then by day, then what the card does not tell.

The rule of one date is `walking.carded.due_on`; here are the days that it means. What was made or done is due
on the day on which its years are over; what ends is due on its last day, and over the day after. Where a card
gives only a month, its reader took the first day of it, the safer one, or the last if something ends then.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from typing import Literal

from diagnose.gauges.licence import AS_OF, ASK, CAR_LIMIT, LAST_YEAR_WITH_C1, MEDICAL_AGE
from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import BY_ITS_PAPER, DATES, DateKind
from diagnose.walking.carded import due_on

State = Literal["overdue", "today", "ahead", "unknown", "never"]
"""How a date stands; *never* where nothing is ever due, such as of a battery."""

MATTERS = ("gas-hose", "tyres", "alarm", "gas-alarm", "gas-check", "mains-check")
"""Dates that are listed as unknown where the card lacks them: what is past them may hurt somebody."""

UNITED_KINGDOM = "uk"


@dataclass(frozen=True, slots=True)
class DueDate:
    """One date of a card, or one that the card lacks, as it stands on a day."""

    of: str
    """Its key on the card."""
    written: date | None
    """The day on the card; None where it has none."""
    day: date | None
    """The day on which it is due; None where that is unknown, or nothing is ever due."""
    days: int | None
    """Days from today to then; below nought where it is overdue."""
    over: bool
    """Whether it holds no more. What ends still holds on its last day."""

    @property
    def kind(self) -> DateKind:
        """What it is a date of."""
        return DATES[self.of]

    @property
    def state(self) -> State:
        """How it stands."""
        if self.days is None:
            return "unknown" if self.written is None else "never"
        return "overdue" if self.days < 0 else "today" if self.days == 0 else "ahead"


def due_dates(card: VehicleCard | None, today: date, *, driver: bool = True) -> tuple[DueDate, ...]:
    """Every date of the card and those that it lacks and that matter; without a card only these.

    Overdue ones come first, the longest overdue before the rest; then the next ones by day; then what is
    unknown; last what is never due. Without `driver` the dates of the driver's own papers are left out.
    """
    dates = card.dates if card is not None else {}
    of = [id for id in DATES if id in dates or id in MATTERS]
    found = [_standing(id, dates.get(id), today) for id in of if driver or not DATES[id].driver]
    return tuple(sorted(found, key=_urgency))


def _standing(of: str, written: date | None, today: date) -> DueDate:
    kind = DATES[of]
    first = due_on(kind, written) if written is not None else None
    if first is None:
        return DueDate(of, written, None, None, False)
    day = written if kind.means == "ends" and written is not None else first
    return DueDate(of, written, day, (day - today).days, today >= first)


def _urgency(due: DueDate) -> tuple[int, date, int]:
    group = {"unknown": 1, "never": 2}.get(due.state, 0)
    return group, due.day or date.max, list(DATES).index(due.of)


def months_since(day: date, today: date) -> int:
    """Whole months from a day to today. A month is over on its last day where the day's figure is missing.

    >>> months_since(date(2025, 3, 3), date(2026, 11, 29)), months_since(date(2025, 1, 31), date(2025, 2, 28))
    (20, 1)
    """
    months = (today.year - day.year) * 12 + today.month - day.month
    return months - (today.day < min(day.day, monthrange(today.year, today.month)[1]))


def source_of(due: DueDate, country: str | None) -> str:
    """Where the term of a date comes from; the United Kingdom's rule is named only there."""
    if due.kind.driver and country not in (None, UNITED_KINGDOM):
        return BY_ITS_PAPER
    return due.kind.source


def country_notes(card: VehicleCard | None, today: date) -> tuple[str, ...]:
    """What the rule of the card's country asks of driver and vehicle, in words; nothing for other countries.

    No birthday is asked for, and none is on a card: so it says from which age a rule holds, never whether.
    """
    if card is None or card.country != UNITED_KINGDOM:
        return ()
    weight = next((fact.answer for fact in card.facts if fact.check == "over-3500"), None)
    notes = [f"United Kingdom, {AS_OF}, from memory, the authority decides. {ASK}"]
    if weight != "under":
        notes.append(
            f"Over {CAR_LIMIT:,.0f} kg on the plate it takes C1. A car licence from before "
            f"{LAST_YEAR_WITH_C1 + 1} carries it until {MEDICAL_AGE}, and from then on only with a medical."
        )
    notes.append("The photo card of a licence is renewed every ten years.")
    notes.append('Abroad the vehicle shows a "UK" sticker.')
    if today.year > AS_OF:
        notes.append(f"It is {today.year} now: the rules may have changed since.")
    return tuple(notes)
