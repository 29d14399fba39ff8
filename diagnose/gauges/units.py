"""Units as people write them, turned into one another.

What people write stands in a table, by exact definitions (see `unit_table.py`). Any other unit is handed to a
general library (pint), which is loaded only then; the tests hold the whole table against it.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import cache
from typing import TYPE_CHECKING

from diagnose.gauges.unit_table import KINDS, SPELT, TWO_MEANINGS
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    import pint


class UnknownUnit(WrongUsage):
    """A unit that nobody here knows."""


class OtherKind(WrongUsage):
    """A unit that measures something else; `kind` says what, or is empty where that is not known."""

    def __init__(self, unit: str, kind: str) -> None:
        self.kind = kind
        super().__init__(f'"{unit}" measures {kind or "something else"}')


_BY_SPELLING = {other: unit for unit, others in SPELT.items() for other in others} | {
    unit: unit for units in KINDS.values() for unit in units
}
_BY_SMALL_LETTERS = {spelling.casefold(): unit for spelling, unit in reversed(_BY_SPELLING.items())}
SHORTEST_SLIP, LONGEST_SLIP = 4, 30
"""Letters of a word that may be a misspelt unit: shorter ones are like too many others."""
CLOSE = 0.8
"""The likeness (of difflib) from which a word is a known unit, misspelt: one slip in a short word."""
_LONG_SPELLINGS = sorted(spelling for spelling in _BY_SMALL_LETTERS if len(spelling) >= SHORTEST_SLIP)
_KIND_OF = {unit: kind for kind, units in KINDS.items() for unit in units}

_LIBRARY_NAMES = {
    "voltage": "volt",
    "current": "ampere",
    "charge": "ampere * hour",
    "power": "watt",
    "energy": "kilowatt * hour",
    "resistance": "ohm",
    "length": "meter",
    "cross-section": "millimeter ** 2",
    "pressure": "bar",
    "mass": "kilogram",
    "volume": "liter",
    "flow": "liter / minute",
    "time": "hour",
}
"""What is measured -> its first unit as the library calls it; what is missing here has no rare units."""

_RARE = re.compile(r"[A-Za-zµΩ°]{1,20}(?:\^?[2-4])?(?:[/*][A-Za-zµΩ°]{1,20}(?:\^?[2-4])?){0,2}")
"""What is handed to the library: nothing that it could take as a long sum or a high power."""


def kind_of(unit: str) -> str:
    """What a unit of the table measures, such as "pressure"."""
    return _KIND_OF[unit]


def turned_into(value: float, unit: str, wanted: str, *, difference: bool = False) -> float:
    """The value in the wanted unit, which is one of the table; an offset is left out of a difference.

    Raises OtherKind for a unit that measures something else, UnknownUnit for one that nobody knows.

    >>> round(turned_into(48, "F", "°C"), 1), round(turned_into(1, "F", "°C", difference=True), 2)
    (8.9, 0.56)
    """
    known = _spelt(unit)
    if known == wanted:
        return value
    if known is None:
        _refuse_a_slip(unit)
        return _by_the_library(value, unit, wanted)
    if _KIND_OF[known] != _KIND_OF[wanted]:
        raise OtherKind(unit, _KIND_OF[known])
    start, end = KINDS[_KIND_OF[wanted]][known], KINDS[_KIND_OF[wanted]][wanted]
    if difference:
        return value * (start.times * end.over) / (start.over * end.times)
    return (value + start.offset) * (start.times * end.over) / (start.over * end.times) - end.offset


def _spelt(unit: str) -> str | None:
    """The unit of the table that is meant; letters of any one size will do, mixed ones have to be right."""
    plain = " ".join(unit.split())
    if plain in _BY_SPELLING:
        return _BY_SPELLING[plain]
    one_size = plain in (plain.lower(), plain.upper(), plain.capitalize())
    return _BY_SMALL_LETTERS.get(plain.casefold()) if one_size else None


def _refuse_a_slip(unit: str) -> None:
    """Refuse what has two meanings, and what is a known unit but for a slip of the fingers."""
    plain = " ".join(unit.casefold().split())
    if plain in TWO_MEANINGS:
        raise UnknownUnit(f'"{unit}" can be read in two ways: write {TWO_MEANINGS[plain]}')
    if len(plain) > LONGEST_SLIP:
        return
    near = get_close_matches(plain, _LONG_SPELLINGS, 1, CLOSE) if len(plain) >= SHORTEST_SLIP else []
    if near:
        raise UnknownUnit(f'"{unit}" is not a unit that is known here (did you mean "{near[0]}"?)')


def _by_the_library(value: float, unit: str, wanted: str) -> float:
    kind = _KIND_OF[wanted]
    if kind not in _LIBRARY_NAMES or not _RARE.fullmatch(unit):
        raise UnknownUnit(f'"{unit}" is not a unit that is known here')
    import pint

    try:
        found = _library().Quantity(value, unit.replace("^", "**"))
        first = float(found.to(_LIBRARY_NAMES[kind]).magnitude)
    except pint.DimensionalityError:
        raise OtherKind(unit, "") from None
    except Exception:  # whatever the library makes of a text that is no unit
        raise UnknownUnit(f'"{unit}" is not a unit that is known here') from None
    return first * KINDS[kind][wanted].over / KINDS[kind][wanted].times


@cache
def _library() -> pint.UnitRegistry[float]:
    """The library's own table of units; it takes a third of a second to make, so it is made once."""
    import pint

    return pint.UnitRegistry()
