"""How long a charger needs to fill a battery.

Up to four fifths a charger gives all it has; from there a lead battery takes less and less, so the last fifth
takes its hours whatever the charger. More has to go in than comes out again (the charge factor).
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.gauges.asks import CAPACITY, CHARGE
from diagnose.gauges.cautions import BATTERY, FROZEN
from diagnose.gauges.gauge import Also, Choice, Gauge, Outcome, Quantity
from diagnose.gauges.measured import Measured, propagate

TAPER_FROM = 0.8
"""The share of charge from which a lead battery takes less and less (common practice, no source)."""


class Taking(NamedTuple):
    """How a kind of battery takes its charge."""

    factor: Measured
    """Ah put in for each Ah of charge gained."""
    last_hours: Measured
    """Hours for the last fifth, however strong the charger."""
    most_share: float
    """Current over capacity (1/h) from which the charger is too strong for a usual battery."""


TAKING = {
    "flooded": Taking(Measured(1.2, 0.05), Measured(4.0, 1.0), 0.25),
    "agm": Taking(Measured(1.1, 0.05), Measured(3.0, 1.0), 0.35),
    "gel": Taking(Measured(1.1, 0.05), Measured(4.0, 1.0), 0.25),
    "lithium": Taking(Measured(1.03, 0.02), Measured(0.0, 0.0), 0.5),
}
"""Kind -> how it takes its charge. Common practice and handbooks, from memory."""


def filling_hours(capacity: Measured, charge: Measured, current: Measured, kind: str) -> Measured:
    """Hours until full; capacity in Ah, charge in %, current in A."""
    taking = TAKING[kind]

    # The charge has a bend at four fifths; all else is gentle.
    def hours(capacity: float, charge: float, current: float, factor: float, last: float) -> float:
        share = charge / 100
        begun = max(share, TAPER_FROM)
        whole = capacity * max(TAPER_FROM - share, 0.0) * factor / current
        tapered = max(capacity * (1 - begun) * factor / current, last * (1 - begun) / (1 - TAPER_FROM))
        return whole + tapered

    return propagate(hours, capacity, charge, current, taking.factor, taking.last_hours, straight=True)


def most_hours(capacity: Measured, charge: Measured, current: Measured, kind: str) -> Measured:
    """Hours until four fifths full; nought from there on."""
    return propagate(
        lambda capacity, charge, current, factor: (
            capacity * max(TAPER_FROM - charge / 100, 0.0) * factor / current
        ),
        capacity,
        charge,
        current,
        TAKING[kind].factor,
        straight=True,
    )


def charging_time(capacity: Measured, charge: Measured, current: Measured, kind: str) -> Outcome:
    """Hours until full, and until it is good for most of its charge."""
    full = filling_hours(capacity, charge, current, kind)
    notes = ["What is switched on meanwhile takes its current from the charger; take it off."]
    if current.value > TAKING[kind].most_share * capacity.value:
        notes.append("That is a strong charger for this battery: read on its label what it may be given.")
    if kind == "lithium":
        notes.append("A lithium battery is not charged under 0 °C, and only by a charger made for it.")
    return Outcome(
        full,
        "h",
        f"Full after about {full.value:.0f} hours." if full.value >= 1 else "Full within the hour.",
        (FROZEN, BATTERY),
        also=(Also("to four fifths", most_hours(capacity, charge, current, kind), "h"),),
        notes=tuple(notes),
    )


GAUGES = (
    Gauge(
        "charging-time",
        "How many hours a charger needs to fill a battery",
        (
            CAPACITY,
            CHARGE,
            Quantity(
                "current",
                "what the charger gives, as on its plate",
                "A",
                "16 A",
                doubt_share=0.1,
                doubt_from="chargers give less when warm",
                refuse=lambda amperes: (
                    None if 0 < amperes <= 300 else "a charger gives more than nothing, such as 16 A"
                ),
            ),
            Choice(
                "kind",
                "what stands on the battery",
                {"flooded": "plain, liquid acid", "agm": "AGM", "gel": "gel", "lithium": "lithium"},
                default="flooded",
            ),
        ),
        (
            "All three figures are read off labels and the panel; nothing is measured.",
            "A battery that is frozen, swollen, cracked, hot or leaking is not charged.",
        ),
        "hours = C · (80 % − charge) · factor / I, then the last fifth: 4 h (AGM 3 h, lithium none), or "
        "longer if the charger is weak",
        "charge factors 1.2 (flooded), 1.1 (AGM, gel), 1.03 (lithium) and hours of the last fifth: common "
        "practice, from memory",
        charging_time,
        (("80 Ah", "46 %", "16 A"), ("80 ± 8 Ah", "46 ± 7 %", "16 A", "--kind", "agm")),
    ),
)
