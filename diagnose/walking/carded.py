"""What a vehicle's card means for one walk: findings given ahead, instruments, what is due, what is said.

Everything here is a value made from the card and the tree. Nothing of it answers a danger question, and of
the card's contents only facts that the tree uses become lines of a case, as answers to its questions would.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from diagnose.knowledge.card_fields import DATES, DateKind
from diagnose.terms import Check, Finding, Tree
from diagnose.walking.past import CO_ALARM, SMELL_OF_GAS, check_of, stops

if TYPE_CHECKING:
    from diagnose.knowledge.card import VehicleCard

SENSES = {
    SMELL_OF_GAS: ("smell", "hear"),
    CO_ALARM: ("hear",),
    "mains-harmed": ("hear",),
    "battery-harmed": ("smell",),
}
"""What the danger questions take: they are asked of everybody, and somebody else may answer them."""


@dataclass(frozen=True, slots=True)
class Age:
    """A check of a shipped tree that only asks how old something is, and the date on the card that tells."""

    tree: str
    check: str
    date: str
    answers: tuple[tuple[int, str], ...]
    """(from so many whole years on, the answer), the oldest first; younger than all is asked."""


AGES = (
    Age("engine-no-crank", "battery-age", "starter-battery", ((5, "older"), (0, "newer"))),
    # A young battery may have been left flat as well, which the same check asks: then it is asked.
    Age("leisure-battery-weak", "battery-age", "leisure-battery", ((5, "worn"),)),
    Age("tyres-soft-old", "date-code", "tyres", ((10, "spent"), (6, "older"), (0, "young"))),
)
"""Which dates answer which checks. Those of alarms: see `_alarm_ends`."""

ALARM_TREE, ALARM_CHECK = "alarm-sounded-earlier", "end-date"
ALARMS = ("alarm", "gas-alarm")
"""The dates of a card that are ends of alarms."""


@dataclass(frozen=True, slots=True)
class Due:
    """A date of the card that is due: its key, its day and a sentence about it."""

    of: str
    day: date
    says: str


def fitted(tree: Tree, card: VehicleCard | None) -> Tree:
    """The tree as this vehicle's instruments read it: their uncertainty in place of the checks' own."""
    if card is None or not card.instruments:
        return tree
    checks = {id: _measured_with(check, card) for id, check in tree.checks.items()}
    facts = {id: _measured_with(check, card) for id, check in tree.facts.items()}
    return replace(tree, checks=checks, facts=facts)


def _measured_with(check: Check, card: VehicleCard) -> Check:
    uncertainty = card.uncertainty_of(check)
    if check.reading is None or uncertainty is None:
        return check
    return replace(check, reading=replace(check.reading, uncertainty=uncertainty))


def findings_ahead(
    tree: Tree, card: VehicleCard | None, today: date, *, all_facts: bool = False
) -> tuple[Finding, ...]:
    """The card's facts that the tree uses (or every fact of the card), then what its dates tell of ages."""
    if card is None:
        return ()
    used = {*tree.checks, *tree.applies_to}
    facts = [fact for fact in card.facts if all_facts or fact.check in used]
    dated = [*_ages(tree, card, today), *_alarm_ends(tree, card, today)]
    findings = [*(_with_doubt(tree, fact, card) for fact in facts), *dated]
    return tuple(each for each in findings if each.check not in tree.ask_first)


def _with_doubt(tree: Tree, fact: Finding, card: VehicleCard) -> Finding:
    check = check_of(tree, fact.check)
    own = card.uncertainty_of(check) if check is not None and fact.value is not None else None
    return fact if own is None else replace(fact, uncertainty=own)


def _ages(tree: Tree, card: VehicleCard, today: date) -> list[Finding]:
    found = []
    for age in AGES:
        check, made = tree.checks.get(age.check), card.dates.get(age.date)
        if check is None or made is None or not tree.shipped or tree.id != age.tree:
            continue
        years = years_since(made, today)
        answer = next((answer for least, answer in age.answers if years >= least), None)
        if answer in check.answer_ids() and not stops(tree, check, answer):
            found.append(Finding(check.id, answer))
    return found


def _alarm_ends(tree: Tree, card: VehicleCard, today: date) -> list[Finding]:
    """Whether the end date of the alarm has passed, where the card tells it of whichever alarm it was.

    Which one chirped is not known. So they have to agree; and while only one of them stands on the card and
    still holds, another may be fitted that does not, so it is asked. A danger question is never answered.
    """
    check = tree.checks.get(ALARM_CHECK)
    if check is None or not tree.shipped or tree.id != ALARM_TREE:
        return []
    over = [ended(id, card, today) for id in ALARMS if id in card.dates]
    if over and all(over):
        return [Finding(check.id, "past")]
    return [Finding(check.id, "ahead")] if len(over) == len(ALARMS) and not any(over) else []


def ended(id: str, card: VehicleCard, today: date) -> bool:
    """Whether a date of the card is due today."""
    first = due_on(DATES[id], card.dates[id])
    return first is not None and today >= first


def alarm_ended(card: VehicleCard | None, today: date) -> str:
    """The day on which the carbon-monoxide alarm had its end date, in words; "" while it holds."""
    if card is None or "alarm" not in card.dates or not ended("alarm", card, today):
        return ""
    return in_words(card.dates["alarm"])


def doubt_of_alarm(check: str, day: str) -> str:
    """What is said behind the question about the alarm where by the card it is past its end date; else ""."""
    if check != CO_ALARM or not day:
        return ""
    return (
        f"By your card the alarm's end date was {day}. An alarm past its date counts as none: "
        "if all are well, answer: none fitted."
    )


def years_since(day: date, today: date) -> int:
    """Whole years from a day to today."""
    return today.year - day.year - ((today.month, today.day) < (day.month, day.day))


def due_on(kind: DateKind, day: date) -> date | None:
    """The first day on which something is due; None where nothing ever is. An end date itself still holds."""
    if not kind.due:
        return None
    if kind.means == "ends":
        return date.fromordinal(day.toordinal() + 1)
    try:
        return day.replace(year=day.year + kind.years)
    except ValueError:  # the 29th of February
        return date(day.year + kind.years, 3, 1)


def overdue(card: VehicleCard | None, today: date) -> tuple[Due, ...]:
    """The dates of the card that are due, in the order of the card."""
    if card is None:
        return ()
    due = [(id, day) for id, day in card.dates.items() if ended(id, card, today)]
    return tuple(Due(id, day, _due_in_words(DATES[id], day, today)) for id, day in due)


def card_as_json(card: VehicleCard, today: date) -> dict[str, Any]:
    """What a card says beside a walk: `due`, the dates that are due, and `call`, the owner's own numbers."""
    due = [{"date": due.of, "on": due.day.isoformat(), "says": due.says} for due in overdue(card, today)]
    call = [{"referral": id, "number": number} for id, number in card.numbers.items()]
    return {"due": due, "call": call}


def in_words(day: date) -> str:
    """A day as people write it: `31 March 2024`."""
    return f"{day.day} {day:%B %Y}"


def _due_in_words(kind: DateKind, day: date, today: date) -> str:
    if kind.means == "ends":
        return f"The {kind.says} had its end date on {in_words(day)}: {kind.due}."
    years = years_since(day, today)
    span = "1 year" if years == 1 else f"{years} years"
    if kind.means == "done":
        return f"The last {kind.says} was {span} ago or more: {kind.due}."
    return f"The {kind.says} {'are' if kind.many else 'is'} {span} old: {kind.due}."


def help_needed(check: str, needs: tuple[str, ...], cannot: frozenset[str]) -> str:
    """What is said behind the `how` of a danger question that this person cannot answer alone; else ""."""
    lacking = [sense for sense in dict.fromkeys((*SENSES.get(check, ()), *needs)) if sense in cannot]
    if not lacking:
        return ""
    return (
        f"Your card says that you cannot {' or '.join(lacking)} well: ask somebody who can. "
        "If nobody is there, answer: not sure."
    )
