"""Timber: how damp the air alone makes it, and so what a damp meter's reading means.

Wood takes water from the air until the two agree; that moisture is known from temperature and humidity. A
reading well above it cannot come from the air: there is water behind.

The equation is that of Hailwood and Horrobin (1946) with the coefficients of the Wood Handbook (Forest
Products Laboratory, GTR-190, chapter 4, second-hand), which give its table 4-2, from -1 °C upwards.
"""

from __future__ import annotations

from diagnose.gauges.climate import HUMIDITY
from diagnose.gauges.gauge import Also, Gauge, Outcome, Quantity, within
from diagnose.gauges.measured import Measured, propagate

FROZEN = -1.1
"""The lowest temperature in °C of the Wood Handbook's table 4-2 (30 °F)."""

DECAY = 20.0
"""Moisture in % from which rot has to be reckoned with (Wood Handbook, second-hand)."""

SATURATED = 28.0
"""Moisture in % from which the fibres are full and a meter only says "wet" (Wood Handbook, second-hand)."""

TOO_DRY = 6.0
"""Moisture in % under which damp meters show nothing reliable (second-hand)."""

NO_CERTIFICATE = "A reading tells of one spot on one day; it certifies no wall as sound or safe."


def equilibrium_moisture(celsius: float, humidity: float) -> float:
    """Moisture in % of dry weight that timber keeps in air of this temperature and relative humidity, 0 to 1.

    >>> round(equilibrium_moisture(10, 0.80), 1)
    16.4
    """
    weight = 349 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    dissolved = k * humidity
    bound = k1 * dissolved + 2 * k1 * k2 * dissolved**2
    sites = 1 + k1 * dissolved + k1 * k2 * dissolved**2
    return 1800 / weight * (dissolved / (1 - dissolved) + bound / sites)


def above_air(reading: float, celsius: float, humidity: float) -> float:
    """By how many % a damp meter reads above what the air alone explains.

    >>> round(above_air(25, 10, 0.80), 1)
    8.6
    """
    return reading - equilibrium_moisture(celsius, humidity)


def timber_moisture(temperature: Measured, humidity: Measured) -> Outcome:
    """The moisture in % that timber takes on in this air."""
    moisture = _of_air(temperature, humidity)
    meaning = f"Timber that only the air reaches settles at about {moisture.value:.0f} %" + (
        ", damp enough to rot in time: air and heat." if moisture.value >= DECAY else "."
    )
    notes = (
        "Kinds of timber differ by a per cent or so, and thick timber follows the air by weeks.",
        NO_CERTIFICATE,
    )
    return Outcome(moisture, "%", meaning, notes=notes)


def damp_reading(meter: Measured, temperature: Measured, humidity: Measured) -> Outcome:
    """By how many % a damp meter reads above what the air explains."""
    excess = propagate(
        lambda reading, degrees, percent: above_air(reading, degrees, percent / 100),
        meter,
        temperature,
        humidity,
    )
    notes = ["Read it at several places: one that stands out is a leak, the same everywhere is the air."]
    if meter.value < TOO_DRY:
        notes.append(f"Under {TOO_DRY:g} % damp meters show nothing reliable; take it as dry.")
    if meter.value > SATURATED:
        notes.append(
            f"Over {SATURATED:g} % the wood is soaked, and the meter's figure says no more than that."
        )
    also = (Also("what the air alone gives", _of_air(temperature, humidity), "%"),)
    return Outcome(excess, "%", meaning_of(meter, excess), also=also, notes=(*notes, NO_CERTIFICATE))


def meaning_of(meter: Measured, excess: Measured) -> str:
    """Air or leak, as far as a damp meter tells; both in %."""
    rot = " At 20 % and more it rots in time: find the water soon." if meter.value >= DECAY else ""
    if excess.value > 2 * excess.uncertainty:
        return f"More than the air can give: water gets in here, so look for the leak.{rot}"
    if excess.value > excess.uncertainty:
        return f"Rather more than the air gives, by a hair: read again after a dry week.{rot}"
    if excess.value < -2 * excess.uncertainty:
        return (
            "Drier than this air would make it: the air was drier in the weeks before, or the meter is off."
        )
    return f"The air alone explains it.{rot}"


def _of_air(temperature: Measured, humidity: Measured) -> Measured:
    return propagate(
        lambda degrees, percent: equilibrium_moisture(degrees, percent / 100), temperature, humidity
    )


TEMPERATURE = Quantity(
    "temperature",
    "temperature of the air around the timber, as it was on most of the last days",
    "°C",
    "10 °C",
    doubt=1.0,
    doubt_from="a room thermometer, and days that differ",
    refuse=within(
        FROZEN,
        60,
        "frozen wood misleads a damp meter, and its table begins at -1 °C; warm the room first",
        "no wall of a vehicle stays so hot",
    ),
)
METER = Quantity(
    "meter",
    "what the damp meter shows, on its scale for timber",
    "%",
    "18 %",
    doubt=2.0,
    doubt_from="a cheap damp meter",
    refuse=within(
        0, 100, "a damp meter shows no less than nothing", "no damp meter's scale for timber goes so far"
    ),
)
FORMULA = (
    "moisture = 1800/W · (KH/(1 − KH) + (K1·KH + 2·K1·K2·K²H²)/(1 + K1·KH + K1·K2·K²H²)), H the humidity as "
    "a part, W, K, K1 and K2 quadratic in temperature"
)
SOURCE = "Hailwood and Horrobin 1946; coefficients of the Wood Handbook (GTR-190, chapter 4), second-hand"

GAUGES = (
    Gauge(
        "timber-moisture",
        "How damp timber gets from the air alone",
        (TEMPERATURE, HUMIDITY),
        ("Read thermometer and hygrometer over some days, and take the middle of it.",),
        FORMULA,
        SOURCE,
        timber_moisture,
        (("10 ± 1 °C", "80 ± 3 %"),),
    ),
    Gauge(
        "damp-reading",
        "What a damp meter's reading means: the air, or water from elsewhere?",
        (METER, TEMPERATURE, HUMIDITY),
        (
            "Hold the meter to bare timber or, if it says that it may, to the lining; pins only where they "
            "do not show. Keep away from sockets, cables and other mains parts, and from foil-backed lining.",
        ),
        f"what the meter shows less what the air gives: {FORMULA}",
        f"{SOURCE}; rot from 20 %: Wood Handbook, second-hand",
        damp_reading,
        (("24 %", "10 °C", "75 %"), ("17 ± 3 %", "50 F", "80 %")),
    ),
)
