"""Days as they are typed on the command line: 2026-11-20, today, yesterday, 3 days ago."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

import click

EARLIEST = date(1970, 1, 1)
"""No case of this program is older; an earlier year is a slip of the finger."""

_AGO = re.compile(r"(\d{1,5}) (day|week)s? ago")
_DAY_FIRST = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
_SLASHES = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_HOW = "write it like 2026-11-20, today, yesterday or 3 days ago"


def as_day(typed: str, today: date) -> date:
    """The day that was typed; raises ValueError with what to write instead.

    >>> as_day("yesterday", date(2026, 3, 1)), as_day("2 weeks ago", date(2026, 3, 1))
    (datetime.date(2026, 2, 28), datetime.date(2026, 2, 15))
    """
    words = " ".join(typed.lower().split())
    named = {"today": 0, "yesterday": 1}
    ago = _AGO.fullmatch(words)
    try:
        if words in named:
            return today - timedelta(days=named[words])
        if ago:
            return _late_enough(today - timedelta(days=int(ago[1]) * (7 if ago[2] == "week" else 1)), typed)
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", words):
            return _late_enough(date.fromisoformat(words), typed)
    except OverflowError:
        raise ValueError(f"{typed!r} is before all cases; {_HOW}") from None
    except ValueError as error:
        raise ValueError(str(error) if "cases" in str(error) else f"there is no day {typed}") from None
    raise ValueError(f"{typed!r} is no day; {_meant(words)}")


def noon_of(day: date, now: datetime) -> datetime:
    """Noon of a day where the user is; of today it is now, so that a case never lies in the future."""
    return now.astimezone() if day == now.astimezone().date() else start_of(day) + timedelta(hours=12)


def start_of(day: date) -> datetime:
    """The first moment of a day where the user is."""
    return datetime.combine(day, time()).astimezone()


def any_day(typed: str) -> date:
    """The day for an option that takes one; fails with one line that says what to write."""
    try:
        return as_day(typed, date.today())
    except ValueError as error:
        raise click.BadParameter(f"{error}.") from error


def past_day(typed: str) -> date:
    """The same where only today or an earlier day will do."""
    day = any_day(typed)
    if day > date.today():
        raise click.BadParameter(f"{day} has not come yet.")
    return day


def _late_enough(day: date, typed: str) -> date:
    if day < EARLIEST:
        raise ValueError(f"{typed!r} is before all cases; {_HOW}")
    return day


def _meant(words: str) -> str:
    """What to write instead: the very day where there is but one way to read it."""
    dotted, slashed = _DAY_FIRST.fullmatch(words), _SLASHES.fullmatch(words)
    found = dotted or slashed
    if found is None:
        return _HOW
    first, second, year = int(found[1]), int(found[2]), int(found[3])
    readings = [(first, second)] if dotted else [(first, second), (second, first)]
    days = set()
    for day, month in readings:
        try:
            days.add(date(year, month, day))
        except ValueError:
            continue
    return f"write {' or '.join(str(day) for day in sorted(days))}" if days else _HOW
