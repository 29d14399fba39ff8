"""Air and walls: is this wet patch a leak, or water out of the air?

Warm air holds more water than cold. Where it meets a surface colder than its dew point, it leaves drops;
mould asks for less and grows where the air at the surface stays above 80 % (ISO 13788). What a wall does with
the cold outside is one number, fRsi: how far its inner face has come on the way from outside to inside.

Saturation pressures are those of ISO 13788 Annex E (equations second-hand), over ice below freezing.
"""

from __future__ import annotations

from math import exp, hypot, log

from diagnose.gauges.gauge import Also, Gauge, NotPossible, Outcome, Quantity, within
from diagnose.gauges.measured import Measured, propagate

AT_FREEZING = 610.5
"""Saturation pressure at 0 °C in Pa, as in ISO 13788."""

MOULD_FROM = 0.80
"""Relative humidity at a surface from which mould has to be reckoned with (ISO 13788)."""

LEAST_DIFFERENCE = 5.0
"""Kelvin between inside and outside under which fRsi tells nothing (common practice, no source)."""

NO_CERTIFICATE = (
    "Air and walls change by the hour: this holds for the moment of reading. It certifies no wall as "
    "sound or safe."
)


def saturation_pressure(celsius: float) -> float:
    """Saturation pressure of water vapour in Pa (ISO 13788, equations E.7 and E.8).

    >>> round(saturation_pressure(20)), round(saturation_pressure(-10))
    (2337, 259)
    """
    if celsius >= 0:
        return AT_FREEZING * exp(17.269 * celsius / (237.3 + celsius))
    return AT_FREEZING * exp(21.875 * celsius / (265.5 + celsius))


def saturated_at(pascal: float) -> float:
    """The temperature in °C at which this vapour pressure saturates (ISO 13788, equations E.9 and E.10).

    >>> round(saturated_at(saturation_pressure(-7.5)), 9)
    -7.5
    """
    over = log(pascal / AT_FREEZING)
    if over >= 0:
        return 237.3 * over / (17.269 - over)
    return 265.5 * over / (21.875 - over)


def dew_point(celsius: float, humidity: float) -> float:
    """Dew point in °C (frost point below freezing) of air at this temperature and relative humidity, 0 to 1.

    >>> round(dew_point(18, 0.65), 1)
    11.3
    """
    return saturated_at(humidity * saturation_pressure(celsius))


def surface_factor(inside: float, outside: float, surface: float) -> float:
    """fRsi = (Tsi - Te)/(Ti - Te), all in °C (ISO 13788); 1 is a wall as warm as the room.

    >>> surface_factor(18, 4, 11)
    0.5
    """
    return (surface - outside) / (inside - outside)


def surface_humidity(inside: float, humidity: float, surface: float) -> float:
    """Relative humidity at a surface, 1 being wet: the room's vapour against saturation there (ISO 13788).

    >>> round(surface_humidity(18, 0.65, 11), 2)
    1.02
    """
    return humidity * saturation_pressure(inside) / saturation_pressure(surface)


def wet_below(inside: float, humidity: float, factor: float) -> float:
    """The outside temperature in °C below which such a wall is wetted by such a room; `factor` under 1.

    >>> round(wet_below(18, 0.65, 0.5), 1)
    4.7
    """
    return (dew_point(inside, humidity) - factor * inside) / (1 - factor)


def dew_point_gauge(temperature: Measured, humidity: Measured) -> Outcome:
    """The dew point of air in °C."""
    dew = propagate(lambda degrees, percent: dew_point(degrees, _part(percent)), temperature, humidity)
    below = "frost" if dew.value < 0 else "drops"
    meaning = f"Whatever is colder than about {dew.value:.0f} °C in this air gathers {below}."
    return Outcome(dew, "°C", meaning, notes=(NO_CERTIFICATE,))


def condensation(
    inside: Measured, humidity: Measured, surface: Measured, outside: Measured | None
) -> Outcome:
    """Humidity at a surface in %, over 100 where it gets wet; also dew point and, if it can be told, fRsi."""
    at_surface = propagate(
        lambda room, percent, wall: percent * surface_humidity(room, 1.0, wall), inside, humidity, surface
    )
    dew = propagate(lambda room, percent: dew_point(room, _part(percent)), inside, humidity)
    also = [Also("dew point of the room", dew, "°C")]
    notes = ["Over 100 % is water that has no room in the air: it settles on the surface."]
    if outside is not None:
        _refuse_a_wall_out_of_reach(inside, surface, outside)
        if abs(inside.value - outside.value) < LEAST_DIFFERENCE:
            notes.append(
                f"Inside and outside are less than {LEAST_DIFFERENCE:g} K apart, so fRsi is left out: "
                "measure on a cold morning."
            )
        else:
            also += _of_the_wall(inside, humidity, surface, outside)
    return Outcome(at_surface, "%", meaning_of(at_surface), also=tuple(also), notes=(*notes, NO_CERTIFICATE))


def _part(percent: float) -> float:
    """Humidity as a part of 1, and never under a trace: no doubt reaches below dry air."""
    return max(percent, 0.001) / 100


def _of_the_wall(inside: Measured, humidity: Measured, surface: Measured, outside: Measured) -> list[Also]:
    factor = propagate(surface_factor, inside, outside, surface)
    found = [Also("how warm the wall keeps, 1 being as the room (fRsi)", factor, "")]
    if outside.value < inside.value and 0 <= factor.value < 0.95:
        cold = propagate(
            lambda room, percent, wall, air: wet_below(room, _part(percent), surface_factor(room, air, wall)),
            inside,
            humidity,
            surface,
            outside,
        )
        found.append(Also("in this room the wall gets wet once it is colder outside than", cold, "°C"))
    return found


def _refuse_a_wall_out_of_reach(inside: Measured, surface: Measured, outside: Measured) -> None:
    """A wall between two airs is no colder and no warmer than both, unless something else reaches it."""
    low, high = sorted((inside, outside), key=lambda each: each.value)
    for nearest, beyond in ((low, low.value - surface.value), (high, surface.value - high.value)):
        if beyond > 2 * hypot(nearest.uncertainty, surface.uncertainty):
            raise NotPossible(
                f"surface: {surface.value:g} °C cannot be between air of {inside.value:g} °C inside and "
                f"{outside.value:g} °C outside: sun, a heater or wet cloth reaches it. Measure where and "
                "when none does, such as before sunrise."
            )


def meaning_of(humidity: Measured) -> str:
    """Leak or condensation, as far as the humidity in % at a surface tells."""
    value, doubt = humidity.value, humidity.uncertainty
    if value >= 100:
        return (
            "Condensation alone can explain the wet: this air wets this wall. Air and heat, then look again."
        )
    if value + doubt >= 100:
        return "On the edge of condensation: it may explain the wet. Dry it, and look again on a cold day."
    if value >= 100 * MOULD_FROM:
        return (
            "Damp enough for mould, yet not wet: water that stands here came otherwise, or in a colder hour."
        )
    return "The air does not wet this wall now: if it is wet, look for a leak, or think of a colder night."


def _humidity(percent: float) -> str | None:
    """Why that much relative humidity cannot be."""
    if percent <= 0:
        return "air is never without any water; write it like 65 %"
    return "air holds no more than 100 % before it drips; write it like 65 %" if percent > 100 else None


def _air(
    name: str, says: str, example: str, doubt: float, doubt_from: str, required: bool = True
) -> Quantity:
    reason = "that is no temperature in or around a vehicle"
    return Quantity(
        name,
        says,
        "°C",
        example,
        doubt=doubt,
        doubt_from=doubt_from,
        required=required,
        refuse=within(-40, 60, reason, reason),
    )


HUMIDITY = Quantity(
    "humidity",
    "relative humidity of the air in the room",
    "%",
    "65 %",
    doubt=3.0,
    doubt_from="a household hygrometer",
    refuse=_humidity,
)
SOURCE = "saturation pressure: ISO 13788 Annex E, equations second-hand"

GAUGES = (
    Gauge(
        "dew-point",
        "At which temperature this air leaves drops on what it touches",
        (_air("temperature", "temperature of the air", "18 °C", 0.5, "a room thermometer"), HUMIDITY),
        ("Leave thermometer and hygrometer in the room for half an hour, away from people, heater and sun.",),
        "pv = humidity · ps(T); dew point = the temperature at which ps is pv; "
        "ps = 610.5 Pa · exp(17.269·T/(237.3 + T)), below freezing exp(21.875·T/(265.5 + T))",
        SOURCE,
        dew_point_gauge,
        (("18 °C", "65 %"), ("64 F", "80 ± 5 %")),
    ),
    Gauge(
        "condensation",
        "Leak or condensation? How humid the air is right at a wall",
        (
            _air("inside", "temperature of the air in the room", "18 °C", 0.5, "a room thermometer"),
            HUMIDITY,
            _air(
                "surface",
                "temperature of the surface",
                "11 °C",
                1.0,
                "a thermometer held to it or aimed at it",
            ),
            _air(
                "outside",
                "temperature of the air outside",
                "4 °C",
                1.0,
                "an outdoor thermometer",
                required=False,
            ),
        ),
        (
            "Best before sunrise after a cold night, heater and people as usual, cupboard doors as usual.",
            "Touch the bare surface with the thermometer, or aim it from a hand's breadth; keep away from "
            "sockets and other mains parts.",
        ),
        "humidity at the surface = pv / ps(T surface); fRsi = (T surface − T outside) / (T inside − T "
        "outside)",
        f"ISO 13788, second-hand: mould from 80 % at the surface; {SOURCE}",
        condensation,
        (
            ("18 ± 0.5 °C", "65 ± 3 %", "11 ± 0.5 °C", "--outside", "4 ± 0.5 °C"),
            ("20 C", "45 %", "14,5 C"),
        ),
    ),
)
