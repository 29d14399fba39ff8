"""The date code of a tyre: week and year of making in four figures, so 1316 is week 13 of 2016.

Makers number weeks from Mondays (ISO 8601) or by the Sundays of the year (49 CFR 574.5), so a day is known to
within a week, and whether a year has a week 53 is told by either count. Three figures are from before 2000.
"""

from __future__ import annotations

import re
from datetime import date

from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.quantities import plain

YEAR = 365.2425
"""Days of a year, the long run of the calendar."""

CODE = re.compile(r"([0-9]{2})\s*[/.\- ]?\s*([0-9]{2})")


def weeks_of(year: int) -> int:
    """How many weeks a date code may number in a year: 53 where either usual count has as many, else 52."""
    by_monday = date(year, 12, 28).isocalendar().week
    first_sunday = 7 - date(year, 1, 1).weekday() if date(year, 1, 1).weekday() < 6 else 1
    by_sunday = (date(year, 12, 31) - date(year, 1, first_sunday)).days // 7 + 1
    return max(by_monday, by_sunday)


def made_on(week: int, year: int) -> date:
    """The first day of that week of that year: 1 January plus whole weeks, right to within a week."""
    return date.fromordinal(date(year, 1, 1).toordinal() + 7 * (week - 1))


def years_between(made: date, today: date) -> float:
    """Years from one day to another."""
    return (today - made).days / YEAR


def plain_code(text: str) -> str:
    """A date code as four figures; raises NotPossible for one that cannot be, with the reason."""
    shown = plain(text)
    match = CODE.fullmatch(text.strip())
    if match is None and re.fullmatch(r"[0-9]{3}", text.strip()):
        raise NotPossible(
            f'code: "{shown}" has three figures, as before 2000: the tyre is over 25 years old. Change it.'
        )
    if match is None:
        raise NotPossible(
            f'code: "{shown}" is no date code: it has four figures, week and year, such as 1316.'
        )
    week, year = int(match[1]), 2000 + int(match[2])
    if not 1 <= week <= weeks_of(year):
        raise NotPossible(
            f'code: "{shown}" cannot be: {year} has no week {week:02d}, only 01 to {weeks_of(year)}. '
            "Week stands before year, such as 1316 for week 13 of 2016."
        )
    return match[1] + match[2]
