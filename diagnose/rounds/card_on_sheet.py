"""What a vehicle's card tells an engineer: its dates, overdue ones first, and what its tyres carry."""

from __future__ import annotations

from datetime import date

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.languages import Language, Text
from diagnose.rounds.due import DueDate, due_dates
from diagnose.rounds.due_statements import capital
from diagnose.walking.sheet_parts import OfCard


def card_on_sheet(card: VehicleCard, today: date, language: Language) -> tuple[OfCard, ...]:
    """The vehicle's dates, and those that it lacks and that matter; then each axle. None of the driver."""
    dates = tuple(_of_date(due, language) for due in due_dates(card, today, driver=False))
    return dates + _axles(card, language)


def _of_date(due: DueDate, language: Language) -> OfCard:
    phrase = language.phrase
    day = due.day or due.written
    if day is None:
        says = phrase("no date on the card")
    elif due.state == "never":
        says = phrase("from {day}", day=day.isoformat())
    elif due.over or due.state == "today":
        says = phrase("DUE since {day}", day=day.isoformat())
    else:
        says = phrase("due on {day}", day=day.isoformat())
    about = phrase(capital(due.kind.says))
    return OfCard(Text(about, False), Text(says, False), over=due.over)


def _axles(card: VehicleCard, language: Language) -> tuple[OfCard, ...]:
    phrase = language.phrase
    names = {
        "front": phrase("Tyres, front axle"),
        "middle": phrase("Tyres, middle axle"),
        "rear": phrase("Tyres, rear axle"),
    }
    found = []
    for id, axle in card.tyres.items():
        figures = [f"{language.number(axle.bar)} bar"] if axle.bar is not None else []
        figures += [f"{axle.kg:.0f} kg"] if axle.kg is not None else []
        found.append(OfCard(Text(names[id], False), Text(", ".join(figures), False)))
    return tuple(found)
