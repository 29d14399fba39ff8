"""What a reading just given means, in one line, where a gauge explains it.

A figure helps more when it is said what it stands for: 12.18 V is a battery not half full. The line judges
nothing; the ranking takes the reading as ever. Checks are known here by their ids, since a tree says no more;
a check of another id or system gets no line.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diagnose.gauges.battery import HIGHEST_AT_REST, battery_charge
from diagnose.gauges.cable import MOST_SHARE
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured
from diagnose.gauges.starting import cranking
from diagnose.gauges.timber import DECAY, equilibrium_moisture
from diagnose.terms import Check, Finding

BATTERY_OF = {"engine-electrics": "starter-battery", "habitation-electrics": "battery"}
"""System of a tree -> the fact that says of which kind its battery is."""

LEAD = ("flooded", "agm", "gel")
DAMP_AIR = (10.0, 0.85)
"""A cool, damp room that nobody heats, °C and relative humidity (judgement)."""

Findings = Mapping[str, Finding]


def meaning_of_reading(check: Check, system: str, value: float, findings: Findings) -> str:
    """One sentence about a reading, empty where no gauge explains it.

    `findings` may tell the kind of battery and earlier readings; a battery of unknown kind is taken as a
    plain one, which then is said.
    """
    explain = _EXPLAINED.get(check.id)
    if explain is None or check.reading is None:
        return ""
    return explain(Measured(value, check.reading.uncertainty), system, findings)


def _charge(volts: Measured, system: str, findings: Findings) -> str:
    if system not in BATTERY_OF:
        return ""
    kind = _answer(findings, BATTERY_OF[system])
    if kind == "lithium" or _answer(findings, "system-volts") == "twenty-four":
        return ""
    if volts.value > HIGHEST_AT_REST:
        return (
            f"{volts.value:g} V is more than a lead battery shows at rest: it was charged within the last "
            f"hours. Type back to read it again after three hours."
        )
    charge = battery_charge(volts, kind if kind in LEAD else "flooded", None).measured
    taken = "" if kind in LEAD else ", if it is a plain lead battery"
    return f"{volts.value:g} V is about {charge.value:.0f} % charged{taken}."


def _sag(volts: Measured, system: str, findings: Findings) -> str:
    rest = findings.get("rest-volts")
    if rest is None or rest.value is None:
        return ""
    try:
        return cranking(Measured(rest.value, rest.uncertainty or 0.0), volts).meaning
    except NotPossible:
        return ""


def _lost(volts: Measured, system: str, findings: Findings) -> str:
    whole = 24 if _answer(findings, "system-volts") == "twenty-four" else 12
    share = volts.value / whole
    return f"{volts.value:g} V is {share * 100:.1f} % of {whole} V; up to {MOST_SHARE * 100:.0f} % is good."


def _damp(meter: Measured, system: str, findings: Findings) -> str:
    air = equilibrium_moisture(*DAMP_AIR)
    shown = f"{meter.value:g} %"
    if meter.value >= DECAY:
        return f"{shown} is more than damp air gives, some {air:.0f} %; from {DECAY:g} % timber rots."
    return f"{shown} is what damp air gives." if meter.value <= air else f"{shown} is a little over damp air."


def _answer(findings: Findings, fact: str) -> str:
    finding = findings.get(fact)
    return (finding.answer or "") if finding is not None else ""


_EXPLAINED: dict[str, Callable[[Measured, str, Findings], str]] = {
    "rest-volts": _charge,
    "crank-volts": _sag,
    "volts-lost": _lost,
    "damp-meter": _damp,
}
"""Check -> what says its reading in other words."""
EXPLAINED = tuple(_EXPLAINED)
