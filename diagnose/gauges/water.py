"""Water on board: what pressure a height gives, and how much disinfectant a tank takes.

A tank above a tap presses with its height and nothing else; a pump has to lift that height before any flows.
The dose of a disinfectant is the product label's affair alone: the gauge multiplies and knows no strength.

Water's density is the formula of Tanaka and others (2001), taken up by the CIPM (coefficients from memory).
"""

from __future__ import annotations

from diagnose.gauges.gauge import Choice, Gauge, NotPossible, Outcome, Quantity, within
from diagnose.gauges.measured import Measured, propagate
from diagnose.terms import Caution

GRAVITY = 9.80665
"""Standard gravity in m/s² (CGPM 1901)."""

COOL = Measured(15.0, 5.0)
"""Water as it stands in a tank, in °C; it moves the result by less than a thousandth."""

NO_CERTIFICATE = "This is a sum; it certifies no water as safe to drink."

CAUTIONS = (
    Caution(
        "stored-water",
        "WARNING",
        "Water that stood may carry germs: no spray, not drunk, until it is disinfected and flushed twice.",
    ),
    Caution(
        "disinfectant",
        "WARNING",
        "Only a product whose label says that it is for drinking-water tanks, at its label's dose and time; "
        "never household bleach. Never together with descaler, acid or any other cleaner: that makes poison "
        "gas.",
    ),
    Caution(
        "heater-bypass",
        "NOTICE",
        "Only with the water heater bypassed and cold, or with a product whose label says that it is "
        "heater-safe.",
    ),
)


def water_density(celsius: float) -> float:
    """Density of clean water under one atmosphere, 0 to 40 °C, in kg/m³ (Tanaka and others 2001).

    >>> round(water_density(20), 1)
    998.2
    """
    fall = (celsius - 3.983035) ** 2 * (celsius + 301.797) / (522528.9 * (celsius + 69.34881))
    return 999.974950 * (1 - fall)


def head_pressure(metres: float, celsius: float) -> float:
    """Pressure in mbar under a standing column of water of this height: density · gravity · height.

    >>> round(head_pressure(1, 15), 1)
    98.0
    """
    return water_density(celsius) * GRAVITY * metres / 100


def disinfectant(litres: float, dose: float) -> float:
    """Millilitres of a product for a volume of water; `dose` is its label's, in ml for each litre.

    >>> disinfectant(80, 0.5)
    40.0
    """
    return litres * dose


def water_head(height: Measured, temperature: Measured) -> Outcome:
    """The pressure in mbar that a height of water gives."""
    pressure = propagate(head_pressure, height, temperature)
    meaning = (
        f"A tap that far below the water gets {pressure.value:.0f} mbar, and a pump that far below a tap has "
        "to make as much before a drop comes."
    )
    return Outcome(
        pressure,
        "mbar",
        meaning,
        notes=("Hoses and filters take their part of it as it flows.", NO_CERTIFICATE),
    )


def tank_dose(volume: Measured, dose: Measured, heater: str) -> Outcome:
    """The millilitres of a product that go into a tank; raises NotPossible where the heater would get it."""
    if heater == "neither":
        raise NotPossible(
            "heater: no dose goes in while the water heater would be filled with a product that is not "
            "stated to be heater-safe. Set the heater's bypass, or take a product whose label says so."
        )
    amount = propagate(disinfectant, volume, dose)
    meaning = (
        f"Put in {amount.value:.0f} ml for {volume.value:.4g} l, by the label's dose; then keep the label's "
        "time, and flush twice."
    )
    notes = (
        "The label has the last word: if its own table differs from this, the table holds.",
        "Hoses hold water too: let a little run at each tap, without spray.",
        NO_CERTIFICATE,
    )
    return Outcome(amount, "ml", meaning, CAUTIONS, notes=notes)


def _no_dose(dose: float) -> str | None:
    """Why that many ml in a litre are no label's dose."""
    if dose <= 0:
        return "a dose is more than nothing; take it from the label, such as 0.5 ml/l"
    if dose > 100:
        return "that would be a tenth of the tank; read the label again, such as 0.5 ml/l or 5 ml/10l"
    return None


def _no_tank(litres: float) -> str | None:
    """Why no tank holds that many litres."""
    if litres <= 0:
        return "a tank holds more than nothing; write it like 80 l"
    return "no leisure vehicle carries so much water; write it like 80 l" if litres > 1000 else None


GAUGES = (
    Gauge(
        "water-head",
        "What pressure a height of water gives",
        (
            Quantity(
                "height",
                "height from the tap up to the water's surface",
                "m",
                "1.2 m",
                doubt=0.02,
                doubt_from="a tape measure",
                refuse=within(
                    0,
                    20,
                    "measure upwards, from the lower end to the upper",
                    "no leisure vehicle is so tall; is it in cm?",
                ),
            ),
            Quantity(
                "temperature",
                "temperature of the water",
                "°C",
                "15 °C",
                doubt=2.0,
                doubt_from="a kitchen thermometer",
                default=COOL,
                required=False,
                refuse=within(0, 40, "that is ice", "the formula for water's density ends at 40 °C"),
            ),
        ),
        ("Measure straight up, from the tap's mouth to the water's surface in the tank.",),
        "pressure = density · 9.80665 m/s² · height",
        "density: Tanaka and others 2001, coefficients from memory, within 0.002 % of a reference library",
        water_head,
        (("1.2 m",), ("60 cm", "--temperature", "5 C")),
    ),
    Gauge(
        "tank-dose",
        "How much disinfectant a water tank takes, by the product's label",
        (
            Quantity(
                "volume",
                "water in the tank",
                "l",
                "80 l",
                doubt_share=0.03,
                doubt_from="the tank's plate, and fittings that take room",
                refuse=_no_tank,
            ),
            Quantity(
                "dose",
                "dose on the product's label",
                "ml/l",
                "0.5 ml/l",
                doubt_share=0.04,
                doubt_from="a measuring cup",
                refuse=_no_dose,
            ),
            Choice(
                "heater",
                "where the water heater stands in this",
                {
                    "bypassed": "its bypass is set, so none of the product reaches it",
                    "heater-safe": "the product's label says that it may go through the heater",
                    "neither": "neither is so, or nobody knows: refused",
                },
                required=True,
            ),
        ),
        (
            "Read dose and time off the label of a product for drinking-water tanks. A strength (in %, mg/l "
            "or ppm) is no dose.",
            "Heater off and cold, its bypass set as its handbook describes.",
        ),
        "millilitres = litres · dose",
        "the product's label alone; no strength is kept here",
        tank_dose,
        (("80 ± 3 l", "0.50 ± 0.02 ml/l", "bypassed"), ("20 gal", "5 ml/10l", "heater-safe")),
    ),
)
