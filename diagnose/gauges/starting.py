"""What a starter battery's voltage does while the engine is cranked, and the resistance behind it.

A battery is a voltage behind a resistance. The resistance grows with age, cold and a low charge, and bad
clamps add to it; whatever current flows, the voltage sags by current times resistance.
"""

from __future__ import annotations

from diagnose.gauges.cautions import BATTERY
from diagnose.gauges.gauge import Gauge, NotPossible, Outcome, Quantity
from diagnose.gauges.measured import Measured, half_width, propagate
from diagnose.terms import Caution

LEAST = 9.6
"""Volts that a good battery keeps while a warm engine is cranked (common practice, no source)."""

CRANKING = Caution(
    "exhaust",
    "DANGER",
    "Exhaust kills: crank outdoors only. Out of gear, handbrake on, hands, hair and leads clear of belts and "
    "fan.",
)


def drop(rest: Measured, crank: Measured) -> Measured:
    """Volts that are lost while cranking: V0 - V1."""
    return propagate(lambda before, during: before - during, rest, crank)


def resistance(rest: Measured, crank: Measured, current: Measured) -> Measured:
    """Inner resistance in mΩ: (V0 - V1) / I, with volts and amperes."""
    return propagate(lambda before, during, amperes: (before - during) / amperes * 1000, rest, crank, current)


def cranking(rest: Measured, crank: Measured) -> Outcome:
    """The drop in V and whether that is too much."""
    _refuse_a_rise(rest, crank)
    return Outcome(drop(rest, crank), "V", _meaning(rest, crank), (CRANKING, BATTERY), notes=(_SAG,))


def inner_resistance(rest: Measured, crank: Measured, current: Measured) -> Outcome:
    """The inner resistance in mΩ."""
    _refuse_a_rise(rest, crank)
    found = resistance(rest, crank, current)
    return Outcome(
        found,
        "mΩ",
        f"At 200 A this battery and its clamps lose about {found.value * 0.2:.1f} V.",
        (CRANKING, BATTERY),
        notes=(
            "A sound, charged, warm starter battery has some 3 to 10 mΩ (from memory); it rises with age, "
            "with cold and with a low charge. Compare it with the same battery earlier rather than with "
            "this.",
        ),
    )


_SAG = "Judge this only with a charge of three quarters or more: a low battery sags, however good it is."


def _meaning(rest: Measured, crank: Measured) -> str:
    if rest.value < 12.4:
        return (
            f"It sags to {crank.value:g} V, but it was not well charged: charge it first, then crank again."
        )
    if abs(crank.value - LEAST) <= crank.uncertainty:
        return (
            f"It sags to {crank.value:g} V, right at the line of {LEAST} V: crank again, or have it tested."
        )
    if crank.value > LEAST:
        return f"It holds {crank.value:g} V while cranking: battery and cables do their work."
    return f"It sags to {crank.value:g} V, under {LEAST} V: the battery is weak, or a clamp or cable is bad."


def _refuse_a_rise(rest: Measured, crank: Measured) -> None:
    if crank.value >= rest.value:
        raise NotPossible(
            f"crank: {crank.value:g} V is not under the resting {rest.value:g} V: the starter drew nothing, "
            f"or the two readings are the wrong way round."
        )


def _no_start(volts: float) -> str | None:
    if volts < 0:
        return "the meter's leads are swapped, or it is no battery; write it like 12.5 V"
    if volts > 15:
        return "this gauge is for a 12 V starter battery; write it like 12.5 V"
    return None


REST = Quantity(
    "rest",
    "voltage before cranking, at rest",
    "V",
    "12.5 V",
    doubt=half_width(0.05),
    doubt_from="a meter 0.05 V out",
    refuse=_no_start,
)
CRANK = Quantity(
    "crank",
    "lowest voltage while cranking",
    "V",
    "10.2 V",
    doubt=0.15,
    doubt_from="a figure that jumps while you read it",
    refuse=_no_start,
)
CURRENT = Quantity(
    "current",
    "current while cranking",
    "A",
    "220 A",
    doubt_share=0.14,
    doubt_from="a clamp meter, or the starter's data",
    refuse=lambda amperes: (
        None if 10 <= amperes <= 2000 else "a starter draws some tens to hundreds of amperes, such as 220 A"
    ),
)
HOW = (
    "A second person turns the key, for five seconds at most; you read the meter, set to direct volts, at "
    "the battery's two posts. Goggles; no ring or watch.",
    "The vehicle stands outdoors, out of gear, handbrake on; no gas, no smoking, nobody near belts and fan.",
)

GAUGES = (
    Gauge(
        "cranking",
        "How far a 12 V starter battery sags while cranking",
        (REST, CRANK),
        HOW,
        "drop = V(rest) − V(cranking); good from 9.6 V while cranking",
        "9.6 V: common practice, no source",
        cranking,
        (("12.5 V", "10.2 V"),),
    ),
    Gauge(
        "inner-resistance",
        "The resistance inside a starter battery and its clamps",
        (REST, CRANK, CURRENT),
        (*HOW, "Current: a clamp meter for direct current around one battery cable, clear of moving parts."),
        "R = (V(rest) − V(cranking)) / I",
        "Ohm's law; usual values from memory",
        inner_resistance,
        (("12.5 V", "10.2 V", "220 A"), ("12.5 ± 0.03 V", "10.2 ± 0.15 V", "220 ± 30 A")),
    ),
)
