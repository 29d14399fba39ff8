"""How long a battery lasts: standing in the winter with a small drain, or in use with a load.

Standing: what is left above the wanted charge, over what drain and self-discharge take a day. In use: the law
of Peukert (1897), by which a lead battery gives less the faster it is emptied.
"""

from __future__ import annotations

from diagnose.gauges.asks import CAPACITY, CHARGE, SELF_DISCHARGE, STANDING_TEMPERATURE, loss_a_month
from diagnose.gauges.gauge import Also, Gauge, NotPossible, Outcome, Quantity
from diagnose.gauges.measured import Measured, propagate

DAYS_A_MONTH = 30.0
HALF = 50.0
"""Below half its charge a lead battery ages quickly (common practice, no source)."""


def days_left(
    capacity: Measured, charge: Measured, drain: Measured, a_month: Measured, down_to: float
) -> Measured:
    """Days until a charge in % is reached: C(f - g) / (24 I + s C).

    Capacity in Ah, charge in %, drain in mA, self-discharge in % of the capacity a month. Raises NotPossible
    where nothing draws on the battery.
    """
    if drain.value == 0 and a_month.value == 0:
        raise NotPossible("drain: with no drain and no self-discharge the charge stays for ever.")

    def days(capacity: float, charge: float, drain: float, a_month: float) -> float:
        a_day = 24 * drain / 1000 + capacity * a_month / 100 / DAYS_A_MONTH
        return capacity * (charge - down_to) / 100 / a_day

    return propagate(days, capacity, charge, drain, a_month)


def run_hours(capacity: Measured, current: Measured, exponent: Measured, rated_hours: Measured) -> Measured:
    """Hours until a full battery is empty: H (C / (I H))^k (Peukert 1897)."""
    return propagate(
        lambda capacity, current, exponent, hours: hours * (capacity / (current * hours)) ** exponent,
        capacity,
        current,
        exponent,
        rated_hours,
    )


def days_until_half(
    capacity: Measured,
    charge: Measured,
    drain: Measured,
    temperature: Measured,
    self_discharge: Measured | None,
) -> Outcome:
    """Days until half the charge is left."""
    return _standing(capacity, charge, drain, temperature, self_discharge, HALF)


def days_until_flat(
    capacity: Measured,
    charge: Measured,
    drain: Measured,
    temperature: Measured,
    self_discharge: Measured | None,
) -> Outcome:
    """Days until no charge is left."""
    return _standing(capacity, charge, drain, temperature, self_discharge, 0.0)


def _standing(
    capacity: Measured,
    charge: Measured,
    drain: Measured,
    temperature: Measured,
    given: Measured | None,
    down_to: float,
) -> Outcome:
    a_month = given or loss_a_month(temperature)
    straight = days_left(capacity, charge, drain, a_month, down_to)
    days = Measured(max(straight.value, 0.0), straight.uncertainty)
    end = "half charged" if down_to else "flat"
    if straight.value <= 0:
        meaning = f"It is {end} already, or less: charge it now."
    else:
        early = max(days.value - days.uncertainty, 0.0)
        meaning = f"In about {days.value:.0f} days it is {end}: charge it within {early:.0f} days to be safe."
    return Outcome(
        days,
        "days",
        meaning,
        also=(Also("self-discharge a month", a_month, "%"),),
        notes=("A lead battery that stands under half its charge ages quickly, and a flat one can freeze.",),
    )


def run_time(capacity: Measured, current: Measured, exponent: Measured, rated_hours: Measured) -> Outcome:
    """Hours that a full battery carries a load."""
    hours = run_hours(capacity, current, exponent, rated_hours)
    half = Measured(hours.value / 2, hours.uncertainty / 2)
    notes = ["This is for a full, warm battery; in frost it gives a good fifth less (common practice)."]
    if current.value * rated_hours.value < capacity.value:
        notes.append(
            "The load is smaller than the one the label's capacity was measured with; the law then promises "
            "rather too much."
        )
    return Outcome(
        hours,
        "h",
        f"A full battery is empty after about {_rounded(hours.value)} hours, "
        f"and should be charged again after {_rounded(half.value)}.",
        also=(Also("down to half", half, "h"),),
        notes=tuple(notes),
    )


def _rounded(hours: float) -> str:
    return f"{hours:.1f}" if hours < 3 else f"{hours:.0f}"


DRAIN = Quantity(
    "drain",
    "current that flows all the time with everything off",
    "mA",
    "30 mA",
    doubt=1.0,
    doubt_share=0.15,
    doubt_from="a battery monitor's small figures",
    refuse=lambda current: (
        "a drain is written without a minus, such as 30 mA"
        if current < 0
        else "that is a load, not a standing drain; see diagnose gauge run-time"
        if current > 5000
        else None
    ),
)
CURRENT = Quantity(
    "current",
    "current of the load (its watts divided by 12)",
    "A",
    "8 A",
    doubt_share=0.05,
    doubt_from="a label or monitor 5 % out",
    refuse=lambda amperes: (
        "a load draws more than nothing, such as 8 A"
        if amperes <= 0
        else "no leisure battery carries such a load"
        if amperes > 500
        else None
    ),
)
EXPONENT = Quantity(
    "exponent",
    "Peukert exponent: flooded about 1.2, AGM 1.1, gel 1.15, lithium 1.05",
    "",
    "1.2",
    doubt=0.05,
    doubt_from="batteries of one kind differ by as much",
    default=Measured(1.2, 0.05),
    required=False,
    refuse=lambda k: None if 1 <= k <= 1.6 else "it lies between 1 and 1.6, such as 1.2",
)
RATED_HOURS = Quantity(
    "rated-hours",
    "hours over which the label's capacity was measured (K20 or C20 means 20)",
    "h",
    "20 h",
    default=Measured(20.0),
    required=False,
    refuse=lambda hours: None if 1 <= hours <= 120 else "labels say 5, 10, 20 or 100 hours, such as 20 h",
)
STANDING = (CAPACITY, CHARGE, DRAIN, STANDING_TEMPERATURE, SELF_DISCHARGE)
HOW_STANDING = (
    "Capacity stands on the label; charge comes from the battery's own monitor or diagnose gauge "
    "battery-charge.",
    "Read the drain off a battery monitor with everything switched off, or add up what the handbooks say of "
    "alarm, tracker and panel. Do not put a meter into the battery's own line: that is for somebody who does "
    "such work.",
)
SOURCE_STANDING = (
    "balance of charge; self-discharge 3 % a month at 20 °C, doubling each 10 K: from battery handbooks, "
    "from memory"
)

GAUGES = (
    Gauge(
        "days-until-half",
        "How many days a standing battery lasts until it should be charged",
        STANDING,
        HOW_STANDING,
        "days = C · (charge − 50 %) / (24 h · I + s · C)",
        SOURCE_STANDING,
        days_until_half,
        (
            ("80 Ah", "95 %", "30 mA"),
            ("80 ± 8 Ah", "95 ± 5 %", "30 ± 5 mA", "--self-discharge", "5 ± 1.5 %"),
        ),
    ),
    Gauge(
        "days-until-flat",
        "How many days a standing battery lasts until it is empty",
        STANDING,
        HOW_STANDING,
        "days = C · charge / (24 h · I + s · C)",
        SOURCE_STANDING,
        days_until_flat,
        (("70 Ah", "90 %", "25 mA", "--temperature", "10 C"),),
    ),
    Gauge(
        "run-time",
        "How many hours a full battery carries a load",
        (CAPACITY, CURRENT, EXPONENT, RATED_HOURS),
        ("Capacity stands on the battery, current or watts on the appliance.",),
        "hours = H · (C / (I · H))^k",
        "Peukert 1897; exponents from memory",
        run_time,
        (("95 Ah", "8 A"), ("95 ± 8 Ah", "8 ± 0.4 A", "--exponent", "1.2 ± 0.05")),
    ),
)
