"""What somebody types for a reading, as a value in the check's own unit.

`12,4`, `12.4 V`, `12400 mV`, `-3 °C`: a comma counts as a point, a unit may have an SI prefix, a few units of
everyday life are turned into the check's by exact factors. Anything else is refused, and so is a value
outside the check's range, which would otherwise be ranked as if it could be true.
"""

from __future__ import annotations

import re
from math import isfinite

from diagnose.terms import Check, DiagnoseError, Reading


class BadReading(DiagnoseError):
    """A text that is no reading of this check; says what would be one."""


_NUMBER = re.compile(r"([+\-\u2212]?)\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*(.*)", re.DOTALL)

_PREFIX = {"": 1.0, "m": 1e-3, "k": 1e3, "M": 1e6, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "c": 1e-2, "h": 1e2}
"""SI prefixes (BIPM, SI Brochure, 9th edition, table 7) that meters show; micro in its three spellings."""

_PREFIXED = ("V", "A", "Ah", "W", "Wh", "Ω", "ohm", "Hz", "bar", "Pa", "m", "g", "l", "L")
"""Units that take a prefix; a month, a percent or a degree does not."""

_SPELT = {
    "v": "V",
    "volt": "V",
    "volts": "V",
    "amp": "A",
    "amps": "A",
    "watt": "W",
    "watts": "W",
    "ohm": "Ω",
    "ohms": "Ω",
    "Ω": "Ω",
    "c": "°C",
    "°c": "°C",
    "℃": "°C",
    "degc": "°C",
    "degrees": "°C",
    "deg": "°C",
    "percent": "%",
    "month": "months",
    "min": "minutes",
    "mins": "minutes",
    "minute": "minutes",
    "hour": "h",
    "hours": "h",
    "day": "days",
    "L": "l",
    "litre": "l",
    "litres": "l",
    "year": "years",
}
"""Other spellings of the units that checks use."""

_FACTORS = {
    # Pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)2, all exact by definition.
    ("psi", "bar"): 0.0689475729,
    ("psi", "kPa"): 6.89475729,
    ("kPa", "bar"): 0.01,
    ("Pa", "bar"): 1e-5,
    ("hPa", "mbar"): 1.0,
    ("bar", "kPa"): 100.0,
    ("in", "mm"): 25.4,
    ("inch", "mm"): 25.4,
    ("lb", "kg"): 0.45359237,
    ("h", "minutes"): 60.0,
    ("minutes", "h"): 1 / 60,
    ("days", "h"): 24.0,
    ("years", "months"): 12.0,
}
"""(typed, wanted) -> factor, where no prefix leads from one to the other."""

UNITS = frozenset({*_PREFIXED, *_SPELT, *_SPELT.values(), *(unit for pair in _FACTORS for unit in pair)})
"""Every unit, and every other spelling of one, that is understood."""


def parse_reading(text: str, reading: Reading) -> float:
    """The value in the reading's own unit.

    Raises BadReading for what is no number, has a unit that cannot be turned into the wanted one, or lies
    outside the range.

    >>> parse_reading("12400 mV", Reading("V", 0, 16, 0.05))
    12.4
    """
    return in_range(parse_quantity(text, reading), reading)


def parse_quantity(text: str, reading: Reading) -> float:
    """A number with or without a unit, in the reading's own unit, whatever its range; raises BadReading."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        raise BadReading(f'"{_short(text)}" is not a reading: type a number, such as {example(reading)}.')
    sign, digits, unit = match.groups()
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        raise BadReading(
            f'"{digits}" can be read in two ways: type '
            f"{digits.replace(',', '')} or {digits.replace(',', '.')}."
        )
    value = float(digits.replace(",", ".")) * (-1.0 if sign in ("-", "\u2212") else 1.0)
    return _converted(value, unit.strip(), reading)


def in_range(value: float, reading: Reading) -> float:
    """The value, if it lies within the range; else raises BadReading, which says the range."""
    if not isfinite(value) or not reading.low <= value <= reading.high:
        raise BadReading(
            f"{value:g} {reading.unit} cannot be: a reading here lies between "
            f"{reading.low:g} and {reading.high:g} {reading.unit}."
        )
    return value


def band_of(check: Check, value: float) -> str | None:
    """The band that holds the value; the top of the range belongs to the last one. None outside the range."""
    if check.reading is None or not check.reading.low <= value <= check.reading.high:
        return None
    return next((band.id for band in reversed(check.bands) if band.low <= value), None)


def example(reading: Reading, unit: str = "") -> str:
    """A reading as one would type it, from the middle of the range; in another unit where one is named."""
    middle = (reading.low + reading.high) / 2
    if unit and unit != reading.unit:
        return f"{round(middle / _FACTORS[unit, reading.unit]):g} {unit}"
    return f"{round(middle, 1):g} {reading.unit}"


def can_be_read_in(unit: str, reading: Reading) -> bool:
    """Whether a reading may be typed in another unit, by an exact factor."""
    return unit != reading.unit and (unit, reading.unit) in _FACTORS


def _converted(value: float, unit: str, reading: Reading) -> float:
    if not unit:
        return value
    typed, wanted = usual_unit(unit), usual_unit(reading.unit)
    if typed == wanted:
        return value
    exact = _FACTORS.get((typed, wanted))
    if exact is not None:
        return value * exact
    from_prefix, to_prefix = _prefix(typed), _prefix(wanted)
    if from_prefix is None or to_prefix is None or from_prefix[1] != to_prefix[1]:
        raise BadReading(f'"{_short(unit)}" is not a unit of this reading: it is taken in {reading.unit}.')
    # Dividing by a whole power of ten keeps 12400 mV at 12.4, where multiplying by 0.001 would not.
    ratio = _PREFIX[from_prefix[0]] / _PREFIX[to_prefix[0]]
    return value * round(ratio) if ratio >= 1 else value / round(1 / ratio)


def usual_unit(unit: str) -> str:
    """A unit as the checks write it; one that is not known stays as it is.

    >>> usual_unit("Volts"), usual_unit("degrees"), usual_unit("mbar")
    ('V', '°C', 'mbar')
    """
    return _SPELT.get(unit) or _SPELT.get(unit.lower()) or unit


def _prefix(unit: str) -> tuple[str, str] | None:
    """The prefix and the unit under it, or None where a prefix is not known."""
    for name in _PREFIXED:
        prefix = unit[: -len(name)]
        if unit.lower().endswith(name.lower()) and prefix in _PREFIX:
            return prefix, _SPELT.get(name, name)
    return None


def _short(text: str) -> str:
    """Untrusted text for a message: one line, no control characters, not long."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return plain if len(plain) <= 40 else plain[:39] + "…"
