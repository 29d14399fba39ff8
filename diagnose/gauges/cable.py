"""How many volts a 12 V cable loses on the way to what it feeds.

The conductor's resistance is the greatest that IEC 60228 allows for fine-stranded copper (class 5) at 20 °C,
times what warmth adds; the current goes there and back, so the length counts twice.
"""

from __future__ import annotations

from diagnose.gauges.gauge import Also, Gauge, NotPossible, Outcome, Quantity
from diagnose.gauges.measured import Measured, exactly, propagate

OHM_PER_KM = {
    0.75: 26.0,
    1.0: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4.0: 4.95,
    6.0: 3.30,
    10.0: 1.91,
    16.0: 1.21,
    25.0: 0.780,
    35.0: 0.554,
    50.0: 0.386,
    70.0: 0.272,
}
"""Cross-section in mm² -> Ω/km at 20 °C, class 5, plain copper. IEC 60228 table 3: 1.5 to 10 mm² second-hand,
the others from memory."""

ALPHA = 0.00393
"""Temperature coefficient of copper in 1/K at 20 °C (IEC 60028, from memory)."""

MOST_SHARE = 0.03
"""Part of the voltage that a cable may lose (common practice, no source)."""


def volt_drop(current: Measured, length: Measured, ohm_per_km: float, temperature: Measured) -> Measured:
    """Volts lost there and back: 2 L I r (1 + α(T - 20)), with the length in m of one way."""
    return propagate(
        lambda amperes, metres, degrees: (
            2 * metres * amperes * ohm_per_km / 1000 * (1 + ALPHA * (degrees - 20))
        ),
        current,
        length,
        temperature,
    )


def cable_drop(
    current: Measured, length: Measured, section: Measured, temperature: Measured, system: Measured
) -> Outcome:
    """The drop in V, and which cross-section would do."""
    lost = volt_drop(current, length, _resistance_of(section.value), temperature)
    most = MOST_SHARE * system.value
    share = lost.value / system.value * 100
    if share > 100:
        raise NotPossible(
            f"current: {current.value:g} A cannot flow through this cable from {system.value:g} V; "
            "check length and cross-section."
        )
    if lost.value <= most:
        meaning = f"The cable loses {share:.1f} % of the voltage: good, 3 % or less is the rule."
    else:
        meaning = (
            f"The cable loses {share:.1f} % of the voltage, more than 3 %: {_thicker(lost, section, most)}."
        )
    return Outcome(
        lost,
        "V",
        meaning,
        also=(Also("share of the voltage", Measured(share, lost.uncertainty / system.value * 100), "%"),),
        notes=(
            "Joints, fuses and switches lose more on top of it.",
            "For 12 and 24 V only. Mains cables are for an electrician.",
        ),
    )


def _thicker(lost: Measured, section: Measured, most: float) -> str:
    own = _resistance_of(section.value)
    for size, ohm in sorted(OHM_PER_KM.items()):
        if lost.value * ohm / own <= most:
            return f"{size:g} mm² would do"
    return "no cable of this table would do; bring the battery nearer"


def _resistance_of(section: float) -> float:
    size = next((size for size in OHM_PER_KM if abs(size - section) < 0.005), None)
    if size is None:
        listed = ", ".join(f"{size:g}" for size in OHM_PER_KM)
        raise NotPossible(f"section: {section:g} mm² is no standard cross-section; these are: {listed} mm².")
    return OHM_PER_KM[size]


GAUGES = (
    Gauge(
        "cable-drop",
        "How many volts a 12 V cable loses on its way",
        (
            Quantity(
                "current",
                "current of what it feeds (its watts divided by 12)",
                "A",
                "8 A",
                doubt_share=0.05,
                doubt_from="a label 5 % out",
                refuse=lambda amperes: (
                    None if 0 < amperes <= 1000 else "a load draws more than nothing, such as 8 A"
                ),
            ),
            Quantity(
                "length",
                "length of one way, along the cable",
                "m",
                "6 m",
                doubt=0.1,
                doubt_share=0.05,
                doubt_from="a path that is partly hidden",
                refuse=lambda metres: (
                    None if 0 < metres <= 100 else "a cable in a vehicle has between 0 and 100 m, such as 6 m"
                ),
            ),
            Quantity(
                "section",
                "copper cross-section, printed on the sheath",
                "mm²",
                "2.5 mm²",
                refuse=lambda size: (
                    None if 0.05 < size < 500 else "no cable is like that, write it like 2.5 mm²"
                ),
            ),
            Quantity(
                "temperature",
                "temperature of the conductor",
                "°C",
                "40 °C",
                doubt=5.0,
                doubt_from="a guess",
                default=Measured(30.0, 10.0),
                required=False,
                refuse=lambda degrees: (
                    None if -50 <= degrees <= 105 else "a sheath stands -50 to 105 °C at most, such as 40 °C"
                ),
            ),
            Quantity(
                "system",
                "voltage of the system, 12 or 24 V",
                "V",
                "12 V",
                default=exactly(12.0),
                required=False,
                refuse=lambda volts: (
                    None if volts in (12, 24) else "this gauge is for 12 V and 24 V; write it like 12 V"
                ),
            ),
        ),
        (
            "Read the cross-section off the sheath, and the current off the appliance's plate.",
            "Measure the length along the lining; pull nothing out. A cable that is warm, stiff or browned "
            "is switched off and shown to somebody who knows.",
        ),
        "drop = 2 · L · I · r · (1 + α · (T − 20 °C)), at most 3 % (0.36 V of 12 V)",
        "IEC 60228 class 5 (1.5 to 10 mm² second-hand, others from memory); α 0.00393/K, IEC 60028, from "
        "memory; 3 %: common practice, no source",
        cable_drop,
        (("8 A", "6 m", "2.5 mm²"), ("8 ± 0.3 A", "6 ± 0.5 m", "2.5", "--temperature", "40 ± 5 C")),
    ),
)
