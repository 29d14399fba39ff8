"""Dates as people write them into a job history, as days; never guessed where two days could be meant.

`2026-04-03` (ISO 8601), `2026/04/03`, `3 April 2026`, `03.04.2026` (with points the day comes first, common
practice, no source). `03/04/2026` and `03-04-2026` are read when the order of day and month is known: from a
mapping, or because the file holds a date that can be read in one order only.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from diagnose.knowledge.ids import quoted

FIRST_YEAR = 1950
_ISO = re.compile(r"([0-9]{4})([-/])([0-9]{1,2})\2([0-9]{1,2})(?:[T ][0-9:.,]{4,15}(?:Z|[+-][0-9:]{2,5})?)?")
_TWO_WAYS = re.compile(
    r"([0-9]{1,2})([-/. ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})(?: +[0-9:.]{4,12}(?: ?[AaPp][Mm])?)?"
)
_NAMED = re.compile(r"([0-9]{1,2})[ .-]+([A-Za-z]{3,9})\.?[ ,-]+([0-9]{4})")
_NAMED_FIRST = re.compile(r"([A-Za-z]{3,9})\.? +([0-9]{1,2}),? +([0-9]{4})")
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip


class NoDate(ValueError):
    """The text is no date that can be used; says why."""


class EitherWay(NoDate):
    """The text can be read as two different days."""


@dataclass(slots=True)
class Dates:
    """Reads dates for one file; `order` is known beforehand or empty, `today` the last day that can be."""

    today: date
    order: str = ""

    def day(self, text: str) -> date:
        """The day that a text means; raises NoDate, EitherWay."""
        said = " ".join(text.split())
        found = self._read(said)
        if found > self.today:
            raise NoDate(f"{quoted(said)} is still to come")
        if found.year < FIRST_YEAR:
            raise NoDate(f"{quoted(said)} lies before {FIRST_YEAR}")
        return found

    def _read(self, said: str) -> date:
        if match := _ISO.fullmatch(said):
            return _calendar(said, int(match[1]), int(match[3]), int(match[4]))
        if match := _TWO_WAYS.fullmatch(said):
            return self._two_ways(said, int(match[1]), match[2], int(match[3]), match[4])
        if match := _NAMED.fullmatch(said):
            return _calendar(said, int(match[3]), _month(said, match[2]), int(match[1]))
        if match := _NAMED_FIRST.fullmatch(said):
            return _calendar(said, int(match[3]), _month(said, match[1]), int(match[2]))
        if not said:
            raise NoDate("no date stands here")
        if re.fullmatch(r"[0-9]{5}(?:\.0)?", said):
            raise NoDate(
                f"{said} is a spreadsheet's count of days; give the column a date's form, or ISO dates"
            )
        raise NoDate(f"{quoted(said)} is no date; write it as 2026-04-03")

    def _two_ways(self, said: str, first: int, sign: str, second: int, year: str) -> date:
        order = self.order
        if len(year) == 2 and order not in ("day-month-year", "month-day-year", "year-month-day"):
            raise EitherWay(
                f"{quoted(said)} has a year of two figures; write dates: day-month-year (or another order) "
                "into the mapping"
            )
        if order == "year-month-day" and len(year) == 2:
            return _calendar(said, _century(first, self.today), second, int(year))
        full = int(year) if len(year) == 4 else _century(int(year), self.today)
        if sign == "." and order != "month-day-year":
            order = "day-month-year"
        if order == "month-day-year":
            return _calendar(said, full, first, second)
        if order == "day-month-year":
            return _calendar(said, full, second, first)
        if first == second:
            return _calendar(said, full, first, second)
        if first <= 12 and second <= 12:
            ways = [_calendar(said, full, *each) for each in ((second, first), (first, second))]
            raise EitherWay(
                f"{quoted(said)} can be {_named(ways[0])} or {_named(ways[1])}; write dates: day-month-year "
                "or dates: month-day-year into the mapping"
            )
        return _calendar(said, full, *((second, first) if first > 12 else (first, second)))


def order_told_by(texts: Iterable[str]) -> str:
    """The order of day and month that these dates have if one of them can be read in one order only; else "".

    Also "" where they contradict each other.

    >>> order_told_by(["03/04/2026", "25/04/2026"])
    'day-month-year'
    """
    told = set()
    for text in texts:
        match = _TWO_WAYS.fullmatch(" ".join(text.split()))
        if match is None or match[2] == "." or len(match[4]) == 2:
            continue
        first, second = int(match[1]), int(match[3])
        if first > 12 >= second:
            told.add("day-month-year")
        elif second > 12 >= first:
            told.add("month-day-year")
    return told.pop() if len(told) == 1 else ""


def _calendar(said: str, year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise NoDate(f"{quoted(said)} is no day of the calendar") from None


def _named(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1].title()}"


def _century(year: int, today: date) -> int:
    """A year of two figures: the latest that is not still to come."""
    this = today.year // 100 * 100 + year
    return this if this <= today.year else this - 100


def _month(said: str, name: str) -> int:
    fits = [at for at, month in enumerate(_MONTHS, 1) if month.startswith(name.lower())]
    if len(fits) != 1:
        raise NoDate(f"{quoted(said)} names no month; write the date as 2026-04-03")
    return fits[0]
