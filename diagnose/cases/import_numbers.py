"""Readings in a job history: a number in the check's own unit, and the band that holds it."""

from __future__ import annotations

import re
from math import isfinite

from diagnose.knowledge.ids import quoted
from diagnose.terms import Check, Reading

_NUMBER = re.compile(r"([+\-\u2212]?)([0-9][0-9.,' \u00a0]*?|[.,][0-9]+)\s*([^0-9\s.,][^0-9]*)?")
_GROUPED = re.compile(r"[0-9]{1,3}(?:([., '\u00a0])[0-9]{3})(?:\1[0-9]{3})*")


class NoReading(ValueError):
    """A cell is no reading of this check; `doubtful` where it can be read in two ways."""

    doubtful = False


def number_in(text: str, reading: Reading, decimal: str = "") -> float:
    """The value in the reading's unit; `decimal` is `comma` or `point` where a mapping tells it.

    Without it `12,4` and `12.4` are the same, and `1,234` can be read in two ways. Raises NoReading for that,
    for another unit, for what is no number, and for a value outside the range.
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise NoReading(f"{quoted(text)} is no number in {reading.unit}")
    sign, figures, unit = match[1], match[2].strip(), (match[3] or "").strip()
    if unit and unit.casefold() != reading.unit.casefold():
        raise NoReading(f"{quoted(text)} is not in {reading.unit}; write numbers in that unit")
    value = _value(text, figures, decimal) * (-1.0 if sign in ("-", "\u2212") else 1.0)
    if not isfinite(value) or not reading.low <= value <= reading.high:
        between = f"between {reading.low:g} and {reading.high:g} {reading.unit}"
        raise NoReading(f"{quoted(text)} cannot be; a reading here lies {between}")
    return value


def _value(text: str, figures: str, decimal: str) -> float:
    marks = {"comma": (",", "."), "point": (".", ",")}.get(decimal)
    if marks is None:
        grouped = _GROUPED.fullmatch(figures)
        if grouped is not None and grouped[1] in ".,":
            # 0.125 and 0,125 group nothing; 12.400 as well as 12,400 might.
            if figures.count(grouped[1]) == 1 and (figures[0] == "0" or grouped[1] == "."):
                return float(figures.replace(",", "."))
            no = NoReading(
                f"{quoted(text)} can be read in two ways; write decimal: comma (or point) into the mapping"
            )
            no.doubtful = True
            raise no
        marks = (",", ".") if figures.rfind(",") > figures.rfind(".") else (".", ",")
    point, group = marks
    whole, _, part = figures.partition(point)
    if group in whole and not re.fullmatch(rf"[0-9]{{1,3}}(?:{re.escape(group)}[0-9]{{3}})+", whole):
        if decimal and not part and whole.count(group) == 1 and group == ".":
            return float(figures)  # 12.4 in a file with decimal commas: a number of the workbook itself
        raise NoReading(f"{quoted(text)} is no number with a decimal {decimal or 'point or comma'}")
    whole = re.sub(r"[ '\u00a0]", "", whole.replace(group, ""))
    if not re.fullmatch("[0-9]*", whole + part) or not whole + part:
        raise NoReading(f"{quoted(text)} is no number")
    return float(f"{whole or '0'}.{part or '0'}")


def band_of(check: Check, value: float) -> str:
    """The band that holds a value of the range; the top of the range belongs to the last one."""
    return next(band.id for band in reversed(check.bands) if band.low <= value)
