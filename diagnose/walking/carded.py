"""What a vehicle's card means for one walk: findings given ahead, instruments, what is due, what is said.

Everything here is a value made from the card and the tree. Nothing of it answers a danger question, and of
the card's contents only facts that the tree uses become lines of a case, as answers to its questions would.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

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
"""Which dates answer which checks. That of an alarm answers none: which alarm sounded is not known."""


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
    findings = [*(_with_doubt(tree, fact, card) for fact in facts), *_ages(tree, card, today)]
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


def overdue(card: VehicleCard | None, today: date) -> tuple[str, ...]:
    """A sentence for each date of the card that is due, in the order of the card."""
    told = []
    for id, day in card.dates.items() if card is not None else ():
        kind = DATES[id]
        first = due_on(kind, day)
        if first is not None and today >= first:
            told.append(_due_in_words(kind, day, today))
    return tuple(told)


def _due_in_words(kind: DateKind, day: date, today: date) -> str:
    if kind.means == "ends":
        return f"The {kind.says} had its end date on {day.day} {day:%B %Y}: {kind.due}."
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
