"""Units as people write them, turned into one another.

The units that stand on meters, gauges, labels and plates are a table here, by exact definitions: a general
library takes longer to import than a gauge may take to answer. Any other unit is handed to that library
(pint), which is loaded only then; the tests hold the whole table against it.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

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


class Scale(NamedTuple):
    """A unit as `(value + offset) * times / over` in the first unit of its kind.

    Multiplied and divided by whole numbers, since 12400 / 1000 is 12.4 where 12400 * 0.001 need not be.
    """

    times: float = 1.0
    over: float = 1.0
    offset: float = 0.0


# Sources of the factors: SI Brochure (BIPM, 9th edition) for prefixes; the international yard and pound of
# 1959 (0.9144 m, 0.45359237 kg), standard gravity 9.80665 m/s2, the imperial gallon 4.54609 l: all exact.
_POUND, _INCH, _GRAVITY = 0.45359237, 0.0254, 9.80665

KINDS: dict[str, dict[str, Scale]] = {
    "voltage": {"V": Scale(), "mV": Scale(over=1000)},
    "current": {"A": Scale(), "mA": Scale(over=1000), "µA": Scale(over=1_000_000)},
    "charge": {"Ah": Scale(), "mAh": Scale(over=1000)},
    "power": {"W": Scale(), "kW": Scale(times=1000), "mW": Scale(over=1000)},
    "energy": {"kWh": Scale(), "Wh": Scale(over=1000), "MJ": Scale(over=3.6), "kJ": Scale(over=3600)},
    "resistance": {"Ω": Scale(), "mΩ": Scale(over=1000), "kΩ": Scale(times=1000)},
    "length": {
        "m": Scale(),
        "cm": Scale(over=100),
        "mm": Scale(over=1000),
        "in": Scale(times=254, over=10_000),
        "ft": Scale(times=3048, over=10_000),
    },
    "cross-section": {"mm²": Scale(), "cm²": Scale(times=100)},
    "temperature": {
        "°C": Scale(),
        "°F": Scale(times=5, over=9, offset=-32.0),
        "K": Scale(offset=-273.15),
    },
    "pressure": {
        "bar": Scale(),
        "mbar": Scale(over=1000),
        "kPa": Scale(over=100),
        "hPa": Scale(over=1000),
        "Pa": Scale(over=100_000),
        "MPa": Scale(times=10),
        "psi": Scale(times=_POUND * _GRAVITY, over=_INCH**2 * 100_000),
    },
    "mass": {
        "kg": Scale(),
        "g": Scale(over=1000),
        "t": Scale(times=1000),
        "lb": Scale(times=_POUND),
        "st": Scale(times=14 * _POUND),
        "cwt": Scale(times=112 * _POUND),
    },
    "volume": {
        "l": Scale(),
        "ml": Scale(over=1000),
        "m³": Scale(times=1000),
        "gal": Scale(times=4.54609),
        "pint": Scale(times=4.54609, over=8),
    },
    "dose": {"ml/l": Scale(), "ml/10l": Scale(over=10), "ml/100l": Scale(over=100)},
    "flow": {"l/min": Scale(), "l/h": Scale(over=60)},
    "time": {
        "h": Scale(),
        "min": Scale(over=60),
        "s": Scale(over=3600),
        "days": Scale(times=24),
        "weeks": Scale(times=168),
    },
    "a stretch of the calendar": {"months": Scale(), "years": Scale(times=12)},
    "a share": {"%": Scale()},
    "a plain number": {"": Scale()},
}
"""What is measured -> unit -> its scale; the first unit of a kind is the one that others are turned into."""

_SPELT = {
    "Ω": ("ohm", "ohms", "Ω"),
    "mΩ": ("mohm", "mohms", "milliohm", "milliohms", "mΩ"),
    "kΩ": ("kohm", "kohms", "kΩ"),
    "µA": ("uA", "μA"),
    "V": ("volt", "volts"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "Ah": ("amp-hours", "amp hours"),
    "W": ("watt", "watts"),
    "m": ("metre", "metres", "meter", "meters"),
    "in": ("inch", "inches", '"'),
    "ft": ("foot", "feet"),
    "mm²": ("mm2", "mm^2", "sq mm", "sqmm"),
    "cm²": ("cm2", "cm^2"),
    "m³": ("m3", "m^3"),
    "°C": ("C", "℃", "degC", "deg C", "degrees C", "degrees", "celsius"),
    "°F": ("F", "℉", "degF", "deg F", "degrees F", "fahrenheit"),
    "lb": ("lbs", "pound", "pounds"),
    "st": ("stone", "stones"),
    "t": ("tonne", "tonnes"),
    "kg": ("kilo", "kilos"),
    "l": ("L", "ltr", "litre", "litres", "liter", "liters"),
    "ml": ("mL", "millilitre", "millilitres"),
    "gal": ("gallon", "gallons"),
    "pint": ("pints", "pt"),
    "h": ("hr", "hrs", "hour", "hours"),
    "min": ("mins", "minute", "minutes"),
    "s": ("sec", "secs", "second", "seconds"),
    "days": ("day", "d"),
    "weeks": ("week",),
    "months": ("month",),
    "years": ("year", "yr", "yrs"),
    "%": ("percent", "per cent", "pc", "% RH", "%RH", "% rh"),
    "ml/l": ("ml per litre", "mL/L", "ml per l"),
    "ml/10l": ("ml/10 l", "ml per 10 l", "ml per 10 litres"),
    "ml/100l": ("ml/100 l", "ml per 100 l", "ml per 100 litres"),
    "l/min": ("lpm", "litres per minute"),
}
"""Unit -> other spellings of it."""

_BY_SPELLING = {other: unit for unit, others in _SPELT.items() for other in others} | {
    unit: unit for units in KINDS.values() for unit in units
}
_BY_SMALL_LETTERS = {spelling.casefold(): unit for spelling, unit in reversed(_BY_SPELLING.items())}
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
