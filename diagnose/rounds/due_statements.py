"""What due days say, as plain sentences: the same on a screen, on paper and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from diagnose.knowledge.card_fields import DateKind
from diagnose.rounds.due import DueDate, months_since, source_of
from diagnose.walking.carded import in_words, years_since

FIND_IT = {
    "gas-hose": "It is printed on the hose.",
    "tyres": "The four figures of the date code stand on the side wall.",
    "alarm": "Its end is printed on the alarm.",
    "gas-alarm": "Its end is printed on the alarm.",
    "gas-check": "It stands on the paper of the gas engineer who did it. No paper, no date.",
    "mains-check": "It stands on the paper of the electrician who did it. No paper, no date.",
}
"""Where a date is found that the card lacks."""


def due_statement(due: DueDate, today: date) -> str:
    """One date in a sentence or two: `Gas hose: due in 41 days, on 9 January 2027.`"""
    about = capital(due.kind.says)
    if due.state == "unknown":
        return f"{about}: unknown, no date is on the card. {FIND_IT.get(due.of, '')}".rstrip()
    if due.state == "never" and due.written is not None:
        years = years_since(due.written, today)
        return f"{about}: {count(years, 'year') if years else 'under 1 year'} old; nothing is due."
    if due.state == "ahead":
        return f"{about}: {when(due, today)}."
    return f"{about}: {when(due, today)}. {then(due.kind)}"


def when(due: DueDate, today: date) -> str:
    """When it is due, in words, for a date that has a due day.

    `due in 41 days, on 9 January 2027`, `due today`, `overdue since 3 March 2025, 20 months`.
    """
    if due.day is None or due.days is None:
        return "unknown" if due.written is None else "never due"
    if due.days > 0:
        return f"due in {count(due.days, 'day')}, on {in_words(due.day)}"
    if due.days == 0:
        return "due today"
    return f"overdue since {in_words(due.day)}, {span(due.day, today)}"


def span(day: date, today: date) -> str:
    """How long ago a day was: in days, from a month on in months, from two years on in years."""
    months = months_since(day, today)
    if months < 1:
        return count((today - day).days, "day")
    return count(months, "month") if months < 24 else count(months // 12, "year")


def then(kind: DateKind) -> str:
    """What is to be done once it is due, as a sentence."""
    return f"{capital(kind.due)}."


def due_as_json(dues: Sequence[DueDate], country: str | None, today: date) -> list[dict[str, Any]]:
    """The same as plain values; `on` is the day on the card, `source` where the term comes from."""
    return [
        {
            "date": due.of,
            "on": due.written.isoformat() if due.written is not None else None,
            "due": due.day.isoformat() if due.day is not None else None,
            "days": due.days,
            "state": due.state,
            "over": due.over,
            "says": due_statement(due, today),
            "source": source_of(due, country),
        }
        for due in dues
    ]


def count(number: int, what: str) -> str:
    """A number of things: `1 day`, `41 days`."""
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def capital(text: str) -> str:
    """A text with a capital at its beginning."""
    return text[:1].upper() + text[1:]
