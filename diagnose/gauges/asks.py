"""What several battery gauges ask for, worded once, and how fast a lead battery loses charge by itself."""

from __future__ import annotations

from diagnose.gauges.gauge import Quantity, within
from diagnose.gauges.measured import Measured, half_width, propagate

AT_20 = 3.0
"""Self-discharge of a lead battery at 20 °C in % of its capacity a month (battery handbooks, from memory)."""

DOUBLES_EACH = 10.0
"""Kelvin that double it (the same, from memory)."""


def loss_a_month(temperature: Measured) -> Measured:
    """Self-discharge in % of the capacity a month at a temperature in °C.

    Batteries differ so much by age and kind that anything from nothing to twice the figure is as likely.
    """
    warm = propagate(lambda degrees: AT_20 * 2 ** ((degrees - 20) / DOUBLES_EACH), temperature)
    return Measured(warm.value, (warm.uncertainty**2 + half_width(warm.value) ** 2) ** 0.5)


CAPACITY = Quantity(
    "capacity",
    "capacity on the battery's label",
    "Ah",
    "80 Ah",
    doubt_share=0.1,
    doubt_from="batteries hold less with age",
    refuse=lambda hours: (
        "a battery holds more than nothing, such as 80 Ah"
        if hours <= 0
        else "no leisure vehicle carries that; write it like 80 Ah"
        if hours > 3000
        else None
    ),
)
CHARGE = Quantity(
    "charge",
    "how full it is now",
    "%",
    "95 %",
    doubt=5.0,
    doubt_from="a charge read off the voltage or a monitor",
    refuse=within(
        0,
        100,
        below="a battery cannot be less than empty; write it like 95 %",
        above="a battery cannot be more than full; write it like 95 %",
    ),
)
STANDING_TEMPERATURE = Quantity(
    "temperature",
    "mean temperature where it stands",
    "°C",
    "10 °C",
    doubt=3.0,
    doubt_from="a guess at a winter's mean",
    default=Measured(20.0, 5.0),
    required=False,
    refuse=within(
        -50,
        70,
        below="no vehicle stands in such cold; write it like 10 °C",
        above="no vehicle stands in such heat; write it like 10 °C",
    ),
)
SELF_DISCHARGE = Quantity(
    "self-discharge",
    "what it loses by itself in a month, of its capacity; where you know better than the rule",
    "%",
    "5 %",
    doubt_share=half_width(1.0),
    doubt_from="anything from nothing to twice as much",
    required=False,
    refuse=within(
        0,
        100,
        below="a battery does not charge itself; write it like 5 %",
        above="it cannot lose more than all of it; write it like 5 %",
    ),
)
