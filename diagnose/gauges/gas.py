"""Cylinder gas: will it vaporise in this cold, and how many hours are left?

Liquid gas boils off in the cylinder until the pressure stands where the liquid's temperature puts it. What
counts is the head, the part above the air outside: without one, nothing reaches the regulator. Burning cools
the liquid below the air around it, so a head that is only just there at rest is gone a few minutes later.

Heats of burning are the net molar ones of ISO 6976 at 25 °C (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from math import floor

from diagnose.gauges.gauge import Also, Choice, Gauge, NotPossible, Outcome, Quantity, within
from diagnose.gauges.measured import Measured, propagate
from diagnose.gauges.vapour import (
    AIR,
    BUTANE_GRAMS,
    PROPANE_GRAMS,
    butane_head,
    full_mix_pressure,
    propane_head,
)
from diagnose.terms import Caution

PROPANE_HEAT = 2043.11 / PROPANE_GRAMS / 3.6
BUTANE_HEAT = 2657.32 / BUTANE_GRAMS / 3.6
"""Net heat of burning in kWh/kg: kJ/mol by g/mol, and 3.6 MJ in a kWh."""

COOLED = 5.0
"""By how many kelvin burning cools the liquid below the air outside (common practice, no source)."""

REGULATED = 30.0
"""What a 30 mbar regulator lets through, in mbar; it cannot give more than it gets."""

HEAT_DOUBT = 0.02
"""Doubt of the heat, as a part of it: gas as sold is no pure one, and some stays behind (judgement)."""

MIXES = ("mix", "tank")

NO_CERTIFICATE = "This is a sum about gas. It finds no leak and certifies nothing as safe."

CAUTIONS = (
    Caution(
        "gas",
        "DANGER",
        "If you smell gas or hear it hiss: no flame, no switch, no phone inside; everybody out, the cylinder "
        "shut only from outside. No leak is looked for with a flame.",
    ),
    Caution(
        "cylinder-heat",
        "WARNING",
        "A cylinder is never warmed: no flame, hot water, heater or blanket. Another gas is used only if the "
        "vehicle's card and the appliances' labels allow it, and changed as its supplier describes.",
    ),
)


def hours_of_gas(kilograms: float, kilowatts: float, heat: float) -> float:
    """Hours that a weight of gas burns at a power; `heat` is its net heat of burning in kWh/kg.

    >>> round(hours_of_gas(3, 2, PROPANE_HEAT), 1)
    19.3
    """
    return kilograms * heat / kilowatts


def head(celsius: float, gas: str, share: float | None) -> tuple[float, float]:
    """The head in mbar of a cylinder that is nearly empty, and of a full one; they differ for a mix only.

    `share` is propane's part of a mix by weight, 0 to 1; without one a full mix may be all but propane.
    """
    if gas == "propane":
        return propane_head(celsius), propane_head(celsius)
    if gas == "butane":
        return butane_head(celsius), butane_head(celsius)
    return butane_head(celsius), (full_mix_pressure(celsius, 1.0 if share is None else share) - AIR) * 10


def gas_pressure(temperature: Measured, gas: str, propane_share: Measured | None) -> Outcome:
    """The head in mbar, of a mix that of its last part with the full cylinder's beside it."""
    mixed = gas in MIXES
    if propane_share is not None and not mixed:
        raise NotPossible(f"propane-share: only a mix has one, {gas} does not; leave it out.")
    part = None if propane_share is None else Measured(propane_share.value, propane_share.uncertainty)
    least = propagate(lambda degrees: head(degrees, gas, None)[0], temperature)
    notes = ["The air is taken as at sea level; higher up there is a little more head."]
    if gas == "butane":
        notes.append("Pure butane is reckoned; what is sold may hold some propane and do a little better.")
    if not mixed:
        return Outcome(least, "mbar", meaning_of(temperature, gas), CAUTIONS, notes=(*notes, NO_CERTIFICATE))
    most = propagate(
        lambda degrees, percent: head(degrees, gas, percent / 100)[1], temperature, part or Measured(100.0)
    )
    notes.append(
        "Propane boils off first: the first figure is that of the last part, the other of a full fill."
    )
    if part is None:
        notes.append(
            "Without the mix's share of propane, a full fill may stand anywhere between both figures."
        )
    also = (
        Also("head of a full cylinder, at most" if part is None else "head of a full cylinder", most, "mbar"),
    )
    meaning = meaning_of_mix(temperature, gas, None if part is None else part.value / 100)
    return Outcome(least, "mbar", meaning, CAUTIONS, also, (*notes, NO_CERTIFICATE))


def vaporises(celsius: float, head_at: Callable[[float], float]) -> str:
    """`no`, `weak` (its own cold stops it as it burns) or `well`, at that temperature of the air outside."""
    if head_at(celsius) < REGULATED:
        return "no"
    return "well" if head_at(celsius - COOLED) >= REGULATED else "weak"


SAID = {
    "no": "it will not gas: nothing worth having reaches the regulator in this cold",
    "weak": "it will gas weakly: it lights, then fades as burning cools the liquid",
    "well": "it will gas well enough: if the flame is weak, the cold is not why",
}
BRIEFLY = {"no": "not at all", "weak": "weakly", "well": "well enough"}


def meaning_of(temperature: Measured, gas: str) -> str:
    """What this cold does to one gas, with a word where the thermometer's doubt could turn it."""
    how, edge = _verdict(temperature, lambda degrees: head(degrees, gas, None)[0])
    return f"{gas.capitalize()} at {temperature.value:g} °C: {SAID[how]}{edge}."


def meaning_of_mix(temperature: Measured, gas: str, share: float | None) -> str:
    """What this cold does to a mix, full and nearly empty."""
    end, end_edge = _verdict(temperature, lambda degrees: head(degrees, gas, share)[0])
    full, full_edge = _verdict(temperature, lambda degrees: head(degrees, gas, share)[1])
    if end == full:
        return f"A mix at {temperature.value:g} °C, full or nearly empty: {SAID[end]}{end_edge}."
    perhaps = "perhaps " if share is None else ""
    return (
        f"A mix at {temperature.value:g} °C: while full it gases {perhaps}{BRIEFLY[full]}{full_edge}, "
        f"towards its end {BRIEFLY[end]}{end_edge}."
    )


def _verdict(temperature: Measured, head_at: Callable[[float], float]) -> tuple[str, str]:
    """How it vaporises, and a remark where the thermometer's doubt could turn that."""
    here = vaporises(temperature.value, head_at)
    around = (temperature.value - temperature.uncertainty, temperature.value + temperature.uncertainty)
    turned = any(vaporises(degrees, head_at) != here for degrees in around)
    return here, " (a degree or two would turn that)" if turned else ""


def gas_hours(weight: Measured, power: Measured, empty: Measured | None, gas: str) -> Outcome:
    """Hours at that power until it is empty; raises NotPossible where it weighs less than when empty."""
    bare = empty or Measured(0.0)
    if weight.value < bare.value:
        raise NotPossible(
            f"weight: {weight.value:g} kg is less than the {bare.value:g} kg that the cylinder weighs empty; "
            "weigh again, standing free, or read the stamped weight again."
        )
    net = BUTANE_HEAT if gas == "butane" else PROPANE_HEAT
    hours = propagate(
        lambda scale, stamped, kilowatts, heat: hours_of_gas(scale - stamped, kilowatts, heat),
        weight,
        bare,
        power,
        Measured(net, HEAT_DOUBT * net),
    )
    left = propagate(lambda scale, stamped: scale - stamped, weight, bare)
    if hours.value < 2 * hours.uncertainty:
        meaning = "Empty or as good as empty: count on nothing more from this cylinder."
    else:
        sure = _rounded_down(hours.value - 2 * hours.uncertainty)
        about = f"{hours.value:.0f}" if hours.value >= 10 else f"{hours.value:.1f}"
        meaning = f"About {about} hours at {power.value:g} kW without a break; count on {sure}."
    notes = ["A burner that switches on and off lasts longer by the time it is off.", NO_CERTIFICATE]
    return Outcome(hours, "h", meaning, CAUTIONS, (Also("gas left", left, "kg"),), tuple(notes))


def _rounded_down(hours: float) -> str:
    """Whole hours, or tenths where there are few: never more than there is."""
    return f"{floor(hours)}" if hours >= 10 else f"{floor(hours * 10) / 10:g}"


TEMPERATURE = Quantity(
    "temperature",
    "temperature of the air around the cylinder",
    "°C",
    "4 °C",
    doubt=2.0,
    doubt_from="an outdoor thermometer near the gas locker",
    refuse=within(-50, 60, "no vehicle stands in such cold", "no cylinder may get as hot as that"),
)
GAS = Choice(
    "gas",
    "what stands on the cylinder in use",
    {
        "propane": "propane",
        "butane": "butane",
        "mix": "propane and butane mixed",
        "tank": "a refillable tank of road-fuel gas, which is a mix that nobody knows",
    },
    required=True,
)
SHARE = Quantity(
    "propane-share",
    "propane's part of a mix, by weight",
    "%",
    "40 %",
    doubt=5.0,
    doubt_from="mixes change with country and season",
    required=False,
    refuse=within(0, 100, "a part is not under nothing", "a part is not over the whole"),
)
WEIGHT = Quantity(
    "weight",
    "weight of the gas left; with --empty, what the whole cylinder weighs",
    "kg",
    "3 kg",
    doubt=0.2,
    doubt_from="a luggage scale",
    refuse=within(
        0, 150, "nothing weighs less than nothing", "no cylinder of a leisure vehicle weighs so much"
    ),
)
POWER = Quantity(
    "power",
    "power of what burns, all burners together",
    "kW",
    "2 kW",
    doubt_share=0.1,
    doubt_from="a rating plate, and a flame that differs from it by a tenth",
    refuse=lambda kilowatts: (
        "a burner that is lit uses something; write it like 2 kW"
        if kilowatts <= 0
        else "no leisure vehicle burns so much; is it in W?"
        if kilowatts > 40
        else None
    ),
)
EMPTY = Quantity(
    "empty",
    "what the cylinder weighs empty, as stamped on it",
    "kg",
    "6.5 kg",
    doubt=0.1,
    doubt_from="the stamped weight, with paint and dirt",
    required=False,
    refuse=within(
        0, 100, "nothing weighs less than nothing", "no cylinder of a leisure vehicle weighs so much"
    ),
)
BURNT = Choice(
    "gas",
    "what stands on the cylinder",
    {"propane": "propane, or a mix", "butane": "butane"},
    default="propane",
)

GAUGES = (
    Gauge(
        "gas-pressure",
        "Will the gas vaporise in this cold? The head it has over the air outside",
        (TEMPERATURE, GAS, SHARE),
        (
            "Hang a thermometer in the shade near the gas locker for half an hour. The cylinder is not "
            "touched for this.",
            "Read the gas off the cylinder's label.",
        ),
        "ln(p/pc) = Tc/T · Σ n·(1 − T/Tc)^k for each gas, by moles for a full mix; head = p − 1013.25 mbar",
        "Lemmon, McLinden and Wagner 2009 (propane), Bücker and Wagner 2006 (butane), coefficients from "
        "memory, within 0.05 % of a reference library; a 30 mbar regulator, and 5 K of cooling as it burns: "
        "common practice, no source",
        gas_pressure,
        (("4 ± 1 °C", "butane"), ("-5 C", "mix", "--propane-share", "40 %")),
    ),
    Gauge(
        "gas-hours",
        "How many hours the gas lasts, from its weight and what burns",
        (WEIGHT, POWER, EMPTY, BURNT),
        (
            "Shut the cylinder's valve first, no flame near; take it out only as its supplier describes, and "
            "weigh it upright. Take off the empty weight stamped on it, or give that as --empty.",
            "Add up the powers on the rating plates. Where a plate gives grams an hour, 78 g/h are 1 kW.",
        ),
        "hours = weight · net heat of burning / power; 12.87 kWh/kg (propane), 12.70 kWh/kg (butane)",
        "net heats: ISO 6976 at 25 °C, from memory; their 2 % of doubt is judgement, for gas as sold and for "
        "what stays in the cylinder",
        gas_hours,
        (("3 ± 0.2 kg", "2 ± 0.2 kW"), ("9,4 kg", "1.8 kW", "--empty", "6.5 kg", "--gas", "butane")),
    ),
)
