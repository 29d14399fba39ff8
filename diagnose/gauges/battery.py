"""The charge of a lead battery from its voltage at rest.

Straight lines between the points that battery handbooks print. A flooded cell shows its acid's specific
gravity plus 0.845 V; in AGM and gel batteries the acid is stronger, so they rest higher. Lithium batteries
(LiFePO4) hold nearly one voltage from a fifth to nine tenths, so voltage tells nothing of their charge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.gauges.cautions import BATTERY
from diagnose.gauges.gauge import Choice, Gauge, NotPossible, Outcome, Quantity
from diagnose.gauges.measured import Measured, half_width, propagate

POINTS: Mapping[str, Sequence[tuple[float, float]]] = {
    "flooded": ((11.79, 0), (12.00, 25), (12.21, 50), (12.42, 75), (12.66, 100)),
    "agm": ((11.7, 0), (12.0, 25), (12.25, 50), (12.55, 75), (12.85, 100)),
    "gel": ((11.8, 0), (12.0, 25), (12.35, 50), (12.65, 75), (12.85, 100)),
}
"""Kind -> (volts at rest, charge in %), from battery handbooks: flooded second-hand, others from memory."""

VOLTS_PER_KELVIN = 6 * 0.0002
"""How a 12 V lead battery's resting voltage rises with warmth: 0.2 mV a cell and kelvin (from memory)."""

REFERENCE = 25.0
"""The temperature in °C for which handbooks print the points."""

HIGHEST_AT_REST = 13.1
"""A lead battery above this was charged a moment ago or is being charged."""

LITHIUM = (
    "the voltage of a lithium battery hardly changes between nearly empty and nearly full, "
    "so it tells nothing of the charge; read its own display or monitor"
)


def charge_at(volts: float, kind: str) -> float:
    """Charge in % for volts at rest and 25 °C, on straight lines; beyond the ends the last line goes on."""
    points = POINTS[kind]
    place = next((n for n, point in enumerate(points[1:-1]) if volts < point[0]), len(points) - 2)
    (low, less), (high, more) = points[place], points[place + 1]
    return less + (more - less) * (volts - low) / (high - low)


def battery_charge(volts: Measured, kind: str, temperature: Measured | None) -> Outcome:
    """The charge in %, kept within 0 and 100; raises NotPossible for a battery that is not at rest."""
    if kind == "lithium":
        raise NotPossible(f"kind: {LITHIUM}.")
    if volts.value > HIGHEST_AT_REST:
        raise NotPossible(
            f"volts: {volts.value:g} V is no resting voltage of a lead battery: a charger is working or has "
            "just worked. Unplug, switch off, wait three hours, read again, such as 12.4 V."
        )
    warmth = temperature or Measured(REFERENCE)
    straight = propagate(
        lambda reading, degrees: charge_at(reading - VOLTS_PER_KELVIN * (degrees - REFERENCE), kind),
        volts,
        warmth,
        straight=True,
    )
    charge = Measured(min(max(straight.value, 0.0), 100.0), straight.uncertainty)
    return Outcome(charge, "%", meaning_of(charge), (BATTERY,), notes=_notes(volts, temperature))


def meaning_of(charge: Measured) -> str:
    """What a charge in % means for somebody who wants to set off."""
    if charge.value >= 100:
        return "Full."
    said = f"About {charge.value:.0f} % charged"
    if charge.value < 5:
        return "Empty or nearly so: charge it now, since a battery left flat is soon spoilt."
    if charge.value < 50:
        return f"{said}: charge it before you judge anything else."
    if charge.value < 75:
        return f"{said}: it will work, yet charge it soon."
    return f"{said}: well charged."


def _notes(volts: Measured, temperature: Measured | None) -> tuple[str, ...]:
    notes = ["This holds after three hours without charge or load; it tells the charge, not how worn it is."]
    if temperature is None:
        notes.append(f"No temperature was given, so it is taken as {REFERENCE:g} °C.")
    if volts.value < 10.5:
        notes.append("Under 10.5 V a cell may be dead: have it tested before you trust a charge.")
    return tuple(notes)


def _no_battery(volts: float) -> str | None:
    """Why that many volts are no reading of a 12 V battery."""
    if volts < 0:
        return "the meter's leads are swapped, or it is no battery; write it like 12.4 V"
    if volts > 30:
        return "that is more than any 12 V battery shows"
    if volts > 20:
        return "that looks like a 24 V battery; measure each of its two 12 V batteries on its own"
    return None


VOLTS = Quantity(
    "volts",
    "voltage of the resting battery between its two posts",
    "V",
    "12.4 V",
    doubt=half_width(0.1),
    doubt_from="a plain meter or panel that may be 0.1 V out",
    refuse=_no_battery,
)
KIND = Choice(
    "kind",
    "what stands on the battery",
    {
        "flooded": "plain, with caps or liquid acid",
        "agm": "AGM",
        "gel": "gel",
        "lithium": "lithium: refused, since its voltage does not tell",
    },
    default="flooded",
)
TEMPERATURE = Quantity(
    "temperature",
    "temperature of the battery",
    "°C",
    "5 °C",
    doubt=2.0,
    doubt_from="a room thermometer near it",
    required=False,
    refuse=lambda degrees: (
        "no battery stands in such a cold or heat; write it like 5 °C" if not -50 <= degrees <= 70 else None
    ),
)

GAUGES = (
    Gauge(
        "battery-charge",
        "How full a 12 V lead battery is, from its voltage at rest",
        (VOLTS, KIND, TEMPERATURE),
        (
            "Let it rest for three hours: charger, solar panel and hook-up off, nothing switched on.",
            "Read the panel, or hold a meter set to direct volts to the two posts. Touch nothing else with "
            "the tips; wear goggles; no ring or watch.",
        ),
        "straight lines between the printed points, at V − 0.0012 V/K · (T − 25 °C)",
        "battery handbooks: flooded points second-hand (6 × (specific gravity + 0.845 V)); AGM, gel and the "
        "change with temperature from memory",
        battery_charge,
        (("12.18 V",), ("12,4 V", "--kind", "agm", "--temperature", "48 F")),
    ),
)
