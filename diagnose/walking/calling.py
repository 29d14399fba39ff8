"""Which numbers to call, by the country; 112 where none is known.

112 is the emergency number of the European Union (Directive (EU) 2018/1972, article 109) and also reaches
help in the other countries of the common files.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.terms import Country, Finding, Settings

COUNTRY = "country"
"""The fact that says where the vehicle is."""
EVERYWHERE = ("112",)


@dataclass(frozen=True, slots=True)
class Calling:
    """The emergency numbers, the first to be called first, and where gas fitters are registered."""

    numbers: tuple[str, ...] = EVERYWHERE
    register: str = ""
    units: tuple[str, ...] = ()
    """Units that people of that country read beside those of the checks."""


def whom_to_call(
    countries: Mapping[str, Country], settings: Settings | None = None, facts: Sequence[Finding] = ()
) -> Calling:
    """The numbers of the country that the vehicle is in: by its facts, else by the settings, else 112."""
    named = next((fact.answer for fact in facts if fact.check == COUNTRY and fact.answer), None)
    country = countries.get(named or "")
    if country is None and settings is not None:
        country = countries.get(settings.country or "")
    if country is None:
        return Calling()
    return Calling(country.numbers or EVERYWHERE, country.gas_register, country.units)
