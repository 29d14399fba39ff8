"""What a reading just given means, in one line, where a gauge explains it.

A figure helps more when it is said what it stands for: 12.18 V is a battery not half full. The line judges
nothing; the ranking takes the reading as ever. Checks are known here by their ids, since a tree says no more.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.gauges.battery import battery_charge
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured
from diagnose.terms import Finding

RESTED: dict[str, str] = {"rest-volts": "starter-battery", "leisure-rest-volts": "battery"}
"""Check that reads a 12 V lead battery at rest -> the fact that says of which kind it is."""


def meaning_of_reading(check: str, value: float, uncertainty: float, findings: Mapping[str, Finding]) -> str:
    """One sentence about a reading, empty where no gauge explains it; `findings` may tell the kind.

    A battery of unknown kind is taken as flooded, which then is said.
    """
    if check not in RESTED:
        return ""
    fact = findings.get(RESTED[check])
    kind = fact.answer if fact is not None and fact.answer is not None else "unknown"
    known = kind in ("flooded", "agm", "gel", "lithium")
    try:
        charge = battery_charge(Measured(value, uncertainty), kind if known else "flooded", None).measured
    except NotPossible:
        return "" if kind == "lithium" else _not_at_rest(value)
    taken = "" if known else ", if it is a plain lead battery"
    return f"{value:g} V is about {charge.value:.0f} % charged{taken}."


def _not_at_rest(value: float) -> str:
    return (
        f"{value:g} V is more than a lead battery shows at rest: it was charged within the last hours. "
        "Type back to read it again after three hours."
    )
