"""A day as an input: written as 2026-03-25, and today's where none is given."""

from __future__ import annotations

from datetime import date

from diagnose.gauges.gauge import Words
from diagnose.gauges.quantities import BadQuantity, plain


def plain_day(text: str) -> str:
    """The day in ISO 8601; raises BadQuantity for a text that is none."""
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise BadQuantity(f'today: "{plain(text)}" is no day; write it like 2026-03-25.') from None


def day(text: str | None) -> date:
    """That day, or today's by the clock of this machine."""
    return date.fromisoformat(text) if text else date.today()


TODAY = Words(
    "today", "the day to count to, else this machine's date", "2026-03-25", plain_day, required=False
)
