"""Quantities as people write them: `12,4 V`, `28 psi`, `10 ± 1 C`, `10 +/- 1`, `80 Ah ± 5 %`.

A comma counts as a point, a bare number takes the gauge's own unit, and what stands behind ± is a standard
uncertainty. Whatever could be read in two ways is refused, not guessed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite

from diagnose.gauges.units import OtherKind, UnknownUnit, turned_into
from diagnose.terms import WrongUsage

LONGEST = 60
PLUS_MINUS = re.compile(r"±|\+/[-\u2212]|\+[-\u2212]")
_NUMBER = r"[+\-\u2212]?\s*(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_PART = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*", re.DOTALL)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:[.,]\d{3}){2,}|[1-9]\d{0,2},\d{3}")


class BadQuantity(WrongUsage):
    """A text that is not what is asked for; says what would be right. Exit code 2."""


@dataclass(frozen=True, slots=True)
class Written:
    """What somebody wrote, in the wanted unit; the uncertainty is None where none was written."""

    value: float
    uncertainty: float | None = None


def read_quantity(text: str, unit: str, example: str) -> Written:
    """The quantity in the given unit (one of the table in `units`).

    Raises BadQuantity, whose text ends with the example as the right form.

    >>> read_quantity("10 +- 1 C", "°C", "5 °C")
    Written(value=10.0, uncertainty=1.0)
    """
    if len(text) > LONGEST:
        raise BadQuantity(f"that is too long for a reading; write it like this: {example}")
    parts = PLUS_MINUS.split(text)
    if len(parts) > 2:
        raise BadQuantity(f'"{plain(text)}" has ± twice; write it like this: {example}')
    try:
        return _read(parts, unit)
    except (OtherKind, UnknownUnit) as error:
        taken = f"it is taken in {unit}" if unit else "it takes no unit"
        raise BadQuantity(f"{error}; {taken}, such as {example}") from None
    except ValueError:
        raise BadQuantity(f'"{plain(text)}" is no reading; write it like this: {example}') from None


def plain(text: str) -> str:
    """Somebody's text for a message: one line without control characters, not long."""
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    return shown if len(shown) <= 40 else shown[:39] + "…"


def _read(parts: list[str], unit: str) -> Written:
    value, own_unit = _number_and_unit(parts[0])
    if len(parts) == 1:
        _refuse_a_share_as_a_part(value, own_unit, unit)
        return Written(turned_into(value, own_unit or unit, unit))
    doubt, doubt_unit = _number_and_unit(parts[1])
    if doubt < 0:
        raise BadQuantity("what stands behind ± cannot be under zero")
    value_in = turned_into(value, own_unit or doubt_unit or unit, unit) if doubt_unit != "%" else None
    if value_in is None and unit != "%":
        value_in = turned_into(value, own_unit or unit, unit)
        if unit in ("°C", "°F", "K"):
            raise BadQuantity("a temperature has no ± in %; write it in degrees, such as 10 ± 1 °C")
        return Written(value_in, abs(value_in) * doubt / 100)
    if value_in is None:
        value_in = turned_into(value, own_unit or unit, unit)
    _refuse_a_share_as_a_part(value, own_unit or doubt_unit, unit)
    return Written(value_in, turned_into(doubt, doubt_unit or own_unit or unit, unit, difference=True))


def _number_and_unit(part: str) -> tuple[float, str]:
    """The number and the unit's text; raises ValueError for what is no number."""
    match = _PART.fullmatch(part)
    if match is None:
        raise ValueError(part)
    digits = match[1].replace(" ", "").replace("\u2212", "-")
    if _THOUSANDS.fullmatch(digits.lstrip("+-")):
        both = re.sub(r"[.,]", "", digits), digits.replace(",", ".")
        raise BadQuantity(f'"{digits}" can be read in two ways: write {both[0]} or {both[1]}')
    value = float(digits.replace(",", "."))
    if not isfinite(value):
        raise ValueError(part)
    return value, plain(match[2])


def _refuse_a_share_as_a_part(value: float, unit: str, wanted: str) -> None:
    """0.95 for a charge is meant as 95 %, yet a bare number is taken as percent."""
    if wanted == "%" and not unit and 0 < value < 1:
        raise BadQuantity(f'"{value:g}" can be read in two ways: write {value * 100:g} % or {value:g} %')
