"""Single values of a vehicle's card: answers of facts, dates and date codes, pressures and loads."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Mapping
from datetime import date

from diagnose.knowledge.card_fields import DATE_CODES, DateKind
from diagnose.knowledge.form import Flaws
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import Node, Scalar, what_it_is
from diagnose.terms import Check, Finding

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})(?:-([0-9]{2}))?")
_CODE = re.compile(r"([0-9]{2})([0-9]{2})")
_QUANTITY = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,3})?)\s*([a-zA-Z]+)")
_FIRST_YEAR, _LAST_YEAR = 1950, 2199
_IN_BAR: Mapping[str, float] = {
    "bar": 1.0,
    # Pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)2, all exact by definition.
    "psi": 0.0689475729,
    "kpa": 0.01,
}
_IN_KG: Mapping[str, float] = {"kg": 1.0, "t": 1000.0, "lb": 0.45359237}
HIGHEST_BAR = 10.0
"""Road tyres of this size of vehicle are filled to well below this."""
HEAVIEST_AXLE = 12_000.0


def finding_of(fact: Check, node: Node, key: Scalar, flaws: Flaws) -> Finding | None:
    """The finding of a fact: an answer's id, or a number in its unit; None and a flaw for anything else."""
    at = key if isinstance(node, Scalar) and node.null else node
    said = node.value if isinstance(node, Scalar) else ""
    if isinstance(node, Scalar) and node.text is not None and said in fact.answer_ids():
        return Finding(fact.id, said)
    reading = fact.reading
    if reading is not None and isinstance(node, Scalar) and node.number is not None:
        if reading.low <= node.number <= reading.high:
            band = next(band.id for band in reversed(fact.bands) if band.low <= node.number)
            return Finding(fact.id, band, node.number, reading.uncertainty)
        between = f"between {reading.low:g} and {reading.high:g} {reading.unit}"
        flaws.at(node, f"{fact.id} is {said[:30]}; it lies {between}")
        return None
    if said == "not-sure":
        flaws.at(at, f"{fact.id} is not sure: leave it off the card, then it is asked")
        return None
    answers = ", ".join(fact.answer_ids())
    wanted = f"a number in {reading.unit}, or one of {answers}" if reading is not None else answers
    text = f"{what_it_is(node)} is no answer of {fact.id}: {wanted}"
    flaws.at(at, text, flaws.nearest(said, fact.answer_ids()) if said else "")
    return None


def date_of(id: str, kind: DateKind, node: Node, key: Scalar, today: date, flaws: Flaws) -> date | None:
    """The day: of an ISO date (`2021-06-30`), a month (`2021-06`) or, for tyres, a code of week and year.

    A month is taken from its first day where it says when something was made or done, and to its last day
    where it says when something ends. None and a flaw for a date that cannot be.
    """
    said = node.value.strip() if isinstance(node, Scalar) else ""
    match, code = _DAY.fullmatch(said), _CODE.fullmatch(said)
    day: date | None = None
    if match is not None:
        day = _calendar_day(match, ends=kind.means == "ends")
    elif code is not None and id in DATE_CODES:
        day = _of_code(int(code[1]), int(code[2]))
    elif id in DATE_CODES:
        form = "the four figures of the date code (1321 is week 13 of 2021) or a date such as 2021-03-29"
        _refuse(node, key, f"{id} wants {form}, not {what_it_is(node)}", flaws)
        return None
    else:
        form = "a date such as 2021-06-30, or a month such as 2021-06"
        _refuse(node, key, f"{id} wants {form}, not {what_it_is(node)}", flaws)
        return None
    if day is None:
        what = "a week from 01 to 53 and a year" if code is not None else "a day of the calendar"
        _refuse(node, key, f"{id} is {quoted(said)}, which cannot be: it wants {what}", flaws)
    elif kind.means != "ends" and day > today:
        _refuse(node, key, f"{id} is {quoted(said)}, which is still to come", flaws)
        return None
    return day


def pressure_in_bar(word: Scalar | None, flaws: Flaws) -> float | None:
    """A tyre's pressure in bar, from bar, psi or kPa; None where there is none or it cannot be."""
    return _quantity(word, "pressure", _IN_BAR, HIGHEST_BAR, "4.5 bar or 65 psi", flaws)


def kilograms(word: Scalar | None, flaws: Flaws) -> float | None:
    """An axle's load in kilograms, from kg, t or lb; None where there is none or it cannot be."""
    return _quantity(word, "load", _IN_KG, HEAVIEST_AXLE, "1650 kg", flaws)


def _quantity(
    word: Scalar | None, what: str, units: Mapping[str, float], most: float, such_as: str, flaws: Flaws
) -> float | None:
    if word is None:
        return None
    match = _QUANTITY.fullmatch(word.value.strip())
    factor = units.get(match[2].lower()) if match is not None else None
    if match is None or factor is None:
        flaws.at(word, f"{what} wants a number with its unit, such as {such_as}; not {what_it_is(word)}")
        return None
    value = float(match[1].replace(",", ".")) * factor
    if not 0 < value <= most:
        unit = next(iter(units))
        flaws.at(word, f"{what} is {quoted(word.value)}, which cannot be: above 0 and up to {most:g} {unit}")
        return None
    return value


def _refuse(node: Node, key: Scalar, text: str, flaws: Flaws) -> None:
    flaws.at(key if isinstance(node, Scalar) and node.null else node, text)


def _calendar_day(match: re.Match[str], *, ends: bool) -> date | None:
    year, month = int(match[1]), int(match[2])
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        return None
    try:
        if match[3] is not None:
            return date(year, month, int(match[3]))
        first = date(year, month, 1)
        return first.replace(day=monthrange(year, month)[1]) if ends else first
    except ValueError:
        return None


def _of_code(week: int, year: int) -> date | None:
    """The Monday of a week of a year after 2000; a code has three figures before that."""
    if not 1 <= week <= 53:
        return None
    try:
        return date.fromisocalendar(2000 + year, week, 1)
    except ValueError:  # a year without a 53rd week, stamped all the same
        return date.fromisocalendar(2000 + year, 52, 1)
