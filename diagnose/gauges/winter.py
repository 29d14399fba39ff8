"""A lead battery over the winter: what is left of its charge, and at which cold its acid freezes.

The less charge, the thinner the acid and the sooner it freezes. A full battery stands any winter; an empty
one bursts in a plain frost.
"""

from __future__ import annotations

from itertools import pairwise

from diagnose.gauges.asks import CHARGE, SELF_DISCHARGE, STANDING_TEMPERATURE, loss_a_month
from diagnose.gauges.cautions import FROZEN
from diagnose.gauges.gauge import Also, Gauge, Outcome, Quantity
from diagnose.gauges.measured import Measured, propagate

GRAVITY = ((0.0, 1.120), (25.0, 1.155), (50.0, 1.190), (75.0, 1.225), (100.0, 1.265))
"""Charge in % -> specific gravity of a flooded battery's acid (battery handbooks, second-hand)."""

FREEZES = ((1.10, -7.0), (1.15, -15.0), (1.20, -27.0), (1.25, -52.0))
"""Specific gravity -> freezing point in °C (ordnance lesson OD1002, second-hand)."""

COLDEST = FREEZES[-1][1]
"""Beyond the last printed point nothing is said but "this or colder"."""


def on_lines(points: tuple[tuple[float, float], ...], x: float) -> float:
    """The value on straight lines between the points; beyond the ends the last line goes on."""
    pairs = list(pairwise(points))
    (low, at_low), (high, at_high) = next((pair for pair in pairs if x < pair[1][0]), pairs[-1])
    return at_low + (at_high - at_low) * (x - low) / (high - low)


def freezing_point(charge: Measured) -> Measured:
    """Where the acid freezes in °C, for a charge in %; never under the coldest printed point."""
    straight = propagate(lambda percent: on_lines(FREEZES, on_lines(GRAVITY, percent)), charge, straight=True)
    return Measured(max(straight.value, COLDEST), straight.uncertainty)


def charge_after(charge: Measured, months: Measured, a_month: Measured) -> Measured:
    """Charge in % after some months of self-discharge, not under nothing."""
    straight = propagate(
        lambda percent, months, lost: percent - months * lost,
        charge,
        months,
        a_month,
    )
    return Measured(max(straight.value, 0.0), straight.uncertainty)


def battery_freezing(charge: Measured, coldest: Measured | None) -> Outcome:
    """The freezing point in °C, and whether the coldest night reaches it."""
    point = freezing_point(charge)
    said = f"{point.value:.0f} °C".replace("-", "−")
    if point.value <= COLDEST:
        meaning = f"It freezes only at {said} or colder."
    elif coldest is None:
        meaning = f"It freezes at about {said}."
    elif coldest.value - coldest.uncertainty <= point.value + point.uncertainty:
        meaning = f"It freezes at about {said}, so such a night can burst it: charge it, or take it indoors."
    else:
        meaning = f"It freezes at about {said}, and such a night stays above that."
    return Outcome(point, "°C", meaning, (FROZEN,), notes=_FREEZING_NOTES)


def lay_up_charge(
    charge: Measured, months: Measured, temperature: Measured, self_discharge: Measured | None
) -> Outcome:
    """The charge in % at the end of a lay-up, with nothing drawing on the battery."""
    a_month = self_discharge or loss_a_month(temperature)
    left = charge_after(charge, months, a_month)
    point = freezing_point(left)
    advice = "it lasts" if left.value >= 50 else "charge it in between, or leave it on a proper keeper"
    return Outcome(
        left,
        "%",
        f"After {months.value:g} months about {left.value:.0f} % is left: {advice}.",
        (FROZEN,) if point.value > -20 else (),
        also=(Also("self-discharge a month", a_month, "%"), Also("freezes then at", point, "°C")),
        notes=(
            "With anything still joined to it (alarm, tracker, clock) see diagnose gauge days-until-half.",
            *_FREEZING_NOTES,
        ),
    )


_FREEZING_NOTES = (
    "Freezing points are those of a flooded battery; take them for AGM and gel too, not for lithium.",
)
MONTHS = Quantity(
    "months",
    "how long it stands",
    "months",
    "4 months",
    doubt=0.5,
    doubt_from="spring comes when it comes",
    refuse=lambda months: (
        None if 0 <= months <= 60 else "a lay-up has between 0 and 60 months, such as 4 months"
    ),
)
COLDEST_NIGHT = Quantity(
    "coldest",
    "the coldest night to be expected",
    "°C",
    "−12 °C",
    doubt=3.0,
    doubt_from="weather",
    required=False,
    refuse=lambda degrees: None if -90 <= degrees <= 60 else "no night is like that; write it like −12 °C",
)

GAUGES = (
    Gauge(
        "lay-up-charge",
        "What is left of a lead battery's charge after a lay-up",
        (CHARGE, MONTHS, STANDING_TEMPERATURE, SELF_DISCHARGE),
        ("Charge: from the battery's own monitor, or diagnose gauge battery-charge. Nothing else is read.",),
        "charge left = charge − months · s; s = 3 % · 2^((T − 20 °C) / 10 K)",
        "battery handbooks, from memory; freezing points: ordnance lesson OD1002, second-hand",
        lay_up_charge,
        (("95 %", "5 months", "--temperature", "8 C"),),
    ),
    Gauge(
        "battery-freezing",
        "At which cold a lead battery freezes",
        (CHARGE, COLDEST_NIGHT),
        (
            "Charge: from the battery's own monitor, or diagnose gauge battery-charge. Open no cap: the acid "
            "is not sampled for this.",
        ),
        "charge → specific gravity → freezing point, on straight lines between printed points",
        "battery handbooks and ordnance lesson OD1002, both second-hand",
        battery_freezing,
        (("46 %",), ("10 %", "--coldest", "-12 C")),
    ),
)
