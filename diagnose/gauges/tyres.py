"""Tyres: what cold does to their pressure, how old they are, and what they may carry.

A tyre's air follows the gas law at an all but fixed volume, so a hard frost takes some tenths of a bar where
nothing leaks; only what is missing beyond that has gone. Age comes from the date code (`tyre_dates`), the
load a tyre may carry from its load index (`tyre_table`).
"""

from __future__ import annotations

import re

from diagnose.gauges.days import TODAY, day
from diagnose.gauges.gauge import Also, Choice, Gauge, NotPossible, Outcome, Quantity, Words, within
from diagnose.gauges.measured import Measured, half_width, propagate
from diagnose.gauges.quantities import plain
from diagnose.gauges.tyre_dates import YEAR, made_on, plain_code, years_between
from diagnose.gauges.tyre_table import FIRST_INDEX, LAST_INDEX, load_share, tyre_load
from diagnose.terms import Caution

AIR = 1.013
"""Standard air pressure in bar: a gauge shows what a tyre holds above it."""

ZERO = 273.15
"""0 °C in kelvin."""

CHANGE_AFTER = 10.0
"""Years after which a tyre is changed, whatever it looks like (common practice, no source)."""

NEAR_LIMIT = 90.0
"""Load in % of what the tyres may carry from which each side is weighed (common practice, no source)."""

NEARLY_FLAT = 0.5
"""Part of its pressure under which a tyre may be harmed inside by its own weight (judgement)."""

WEEK_DOUBT = half_width(7 / YEAR)
"""Weeks are counted in two ways, up to a week apart; in years."""

NO_CERTIFICATE = (
    "This is a sum about tyres; it certifies none as safe. Look at each: cuts, bulges, cord, tread."
)

CAUTIONS = (
    Caution(
        "road",
        "WARNING",
        "A tyre with a cut, bulge, bare cord or a nail in its side, or one that keeps losing air, is not "
        "driven on: call recovery or a tyre fitter.",
    ),
)


def pressure_at(bar: float, then: float, now: float) -> float:
    """What a tyre set to this gauge pressure at `then` °C shows at `now` °C, in bar, if no air went.

    The gas law at fixed volume, on absolute pressures: (p + 1.013)·T2/T1 - 1.013.

    >>> round(pressure_at(3.5, 20, 5), 2)
    3.27
    """
    return (bar + AIR) * (now + ZERO) / (then + ZERO) - AIR


INDEX = re.compile(r"([0-9]{2,3})(?:\s*/\s*([0-9]{2,3}))?\s*[A-Za-z]?")


def plain_index(text: str) -> str:
    """Load indices without the speed letter, as 109 or 109/107; raises NotPossible outside the table."""
    match = INDEX.fullmatch(text.strip())
    if match is None:
        raise NotPossible(
            f'index: "{plain(text)}" is no load index; it stands behind the size, such as 109/107R.'
        )
    for index in filter(None, match.groups()):
        if not FIRST_INDEX <= int(index) <= LAST_INDEX:
            raise NotPossible(
                f"index: {index} is outside this gauge's table, {FIRST_INDEX} to {LAST_INDEX}: ask a tyre "
                "fitter."
            )
    return "/".join(filter(None, match.groups()))


def tyre_pressure(pressure: Measured, then: Measured, now: Measured, reading: Measured | None) -> Outcome:
    """The pressure in bar that a tyre without a leak shows now, and what is missing of it."""
    expected = propagate(pressure_at, pressure, then, now)
    if expected.value < 0:
        raise NotPossible(
            f"pressure: {pressure.value:g} bar at {then.value:g} °C would be under nothing at {now.value:g} "
            "°C."
        )
    notes = (
        "The plate's figure is for the cold tyre as it stands: pump to it before the journey, whatever this "
        "says.",
        NO_CERTIFICATE,
    )
    if reading is None:
        meaning = (
            f"A tyre that lost no air shows about {expected.value:.1f} bar now; one well under that leaks."
        )
        return Outcome(expected, "bar", meaning, CAUTIONS, notes=notes)
    missing = propagate(
        lambda shown, bar, warm, cold: pressure_at(bar, warm, cold) - shown, reading, pressure, then, now
    )
    also = (Also("missing beyond what the cold takes", missing, "bar"),)
    if reading.value < NEARLY_FLAT * expected.value:
        meaning = (
            "Nearly flat: it is not driven on, and nobody here pumps it up. Call recovery or a tyre fitter."
        )
    else:
        meaning = meaning_of_missing(missing)
    return Outcome(expected, "bar", meaning, CAUTIONS, also, notes)


def meaning_of_missing(missing: Measured) -> str:
    """Cold or leak, by what is missing in bar."""
    if missing.value > 2 * missing.uncertainty:
        return (
            "The tyre has lost air: find out where, and read again after a day, before anybody drives on it."
        )
    if missing.value < -2 * missing.uncertainty:
        return "It holds more than it was set to: it was pumped since, or it is warm. Read it again cold."
    return "The change of temperature alone explains it: pump it to the plate, and read again after a day."


def tyre_age(code: str, today: str | None) -> Outcome:
    """Age in years by the date code; raises NotPossible for a week that is still to come."""
    until = day(today)
    made = made_on(int(code[:2]), 2000 + int(code[2:]))
    if made > until:
        raise NotPossible(
            f"code: {code} would be week {code[:2]} of 20{code[2:]}, which is still to come on "
            f"{until.isoformat()}. Week stands before year, such as 1316; three figures are from before 2000."
        )
    age = Measured(years_between(made, until), WEEK_DOUBT)
    of = f"Made in week {int(code[:2])} of 20{code[2:]}"
    if age.value + 2 * age.uncertainty >= CHANGE_AFTER:
        meaning = f"{of}, ten years ago or more: change it, however good it looks."
    else:
        meaning = f"{of}: under ten years, so its looks decide; have the inner wall looked at every year."
    notes = (
        f"Counted to {until.isoformat()}. Look at every tyre and the spare: they need not be of one age.",
        NO_CERTIFICATE,
    )
    return Outcome(age, "years", meaning, CAUTIONS, notes=notes)


def tyre_load_gauge(axle: Measured, index: str, wheels: str) -> Outcome:
    """Load of an axle in % of what its tyres may carry; raises NotPossible for twins without their index."""
    single, _, twin = index.partition("/")
    if wheels == "twin" and not twin:
        raise NotPossible(
            f"index: twin wheels carry less each, by the second figure; {index} has one. Write it like "
            "109/107."
        )
    count, own = (4, int(twin)) if wheels == "twin" else (2, int(single))
    share = propagate(lambda load: 100 * load_share(load, count, own), axle)
    spare = propagate(lambda load: count * tyre_load(own) - load, axle)
    also = (
        Also("all tyres of the axle may carry", Measured(count * tyre_load(own)), "kg"),
        Also("left until then", spare, "kg"),
    )
    notes = (
        "Both sides are taken as equal; they seldom are, so weigh each side where you can.",
        "It holds at the full pressure for that load. The axle's plate is a limit of its own, often the "
        "lower one.",
        NO_CERTIFICATE,
    )
    return Outcome(share, "%", meaning_of_share(share), CAUTIONS, also, notes)


def meaning_of_share(share: Measured) -> str:
    """Whether an axle may go, by its load in % of what the tyres may carry."""
    if share.value > 100:
        return "Overloaded: it is not driven until enough is taken out and it is weighed again."
    if share.value + 2 * share.uncertainty > 100:
        return (
            "At the limit, as far as this scale tells: take something out and weigh again before you drive."
        )
    if share.value > NEAR_LIMIT:
        return "Within the tyres' load by a little: weigh each side, since one may be over."
    return "Within what the tyres may carry; compare it with the axle's plate too."


def _air(name: str, says: str, example: str) -> Quantity:
    reason = "no tyre stands in air like that; write it like 5 °C"
    return Quantity(
        name,
        says,
        "°C",
        example,
        doubt=2.0,
        doubt_from="a thermometer in the shade beside it",
        refuse=within(-50, 60, reason, reason),
    )


def _bar(name: str, says: str, required: bool, low: float) -> Quantity:
    return Quantity(
        name,
        says,
        "bar",
        "3.5 bar",
        doubt=0.05,
        doubt_from="a hand gauge",
        required=required,
        refuse=within(
            low,
            10,
            "a gauge on a tyre with air in it shows more",
            "no tyre of a leisure vehicle takes that; is it in psi? Write it like 50 psi",
        ),
    )


GAUGES = (
    Gauge(
        "tyre-pressure",
        "What a tyre should show now that it is colder or warmer: cold, or a leak?",
        (
            _bar("pressure", "pressure to which it was set", True, 0.5),
            _air("then", "temperature outside when it was set", "20 °C"),
            _air("now", "temperature outside now", "5 °C"),
            _bar("reading", "what it shows now", False, 0.0),
        ),
        (
            "Chocks at the wheels. Read it cold: not driven for three hours, not in the sun.",
            "A tyre that is nearly flat is only looked at: it is not pumped up by you.",
        ),
        "p2 = (p1 + 1.013)·T2/T1 − 1.013, in bar and kelvin",
        "the gas law at a fixed volume; air at sea level, 1.013 bar",
        tyre_pressure,
        (("3.5 bar", "20 °C", "5 °C"), ("51 psi", "68 F", "41 F", "--reading", "44 psi")),
    ),
    Gauge(
        "tyre-age",
        "How old a tyre is, from its date code",
        (
            Words("code", "the four figures of the date code: week and year", "1316", plain_code),
            TODAY,
        ),
        (
            "Chocks at the wheels. The code is the last four figures behind the letters DOT; it stands on "
            "one side only, so it may be on the inner wall. Look with a torch or a telephone's camera; do "
            "not crawl under.",
        ),
        "age = today − 1 January of the year − 7 days · (week − 1)",
        "date code: public tyre pages, second-hand; weeks by ISO 8601 or 49 CFR 574.5; ten years: common "
        "practice, no source",
        tyre_age,
        (("1316", "--today", "2026-03-25"),),
    ),
    Gauge(
        "tyre-load",
        "Whether the tyres of an axle carry what it weighs",
        (
            Quantity(
                "axle",
                "what the whole axle weighs, loaded for the journey",
                "kg",
                "1900 kg",
                doubt=20.0,
                doubt_from="a public weighbridge",
                refuse=within(
                    50,
                    10_000,
                    "no axle weighs so little; weigh the whole axle, such as 1900 kg",
                    "no axle of a leisure vehicle weighs so much; write it like 1900 kg",
                ),
            ),
            Words("index", "load index on the tyre, behind its size", "109/107", plain_index),
            Choice(
                "wheels",
                "how many stand at each end of the axle",
                {"single": "one", "twin": "two side by side"},
                default="single",
            ),
        ),
        (
            "On a weighbridge, one axle after the other, with water, gas, people and luggage as for the "
            "journey.",
            "The load index stands behind the tyre's size: 109 for single and 107 for twin wheels in "
            "109/107R.",
        ),
        "share = axle / (tyres · load by the index)",
        "load index: ISO 4000-1 and the tables that repeat it, second-hand, from 120 on from memory; room "
        "for uneven sides from 90 %: common practice, no source",
        tyre_load_gauge,
        (("1900 kg", "109"), ("2.4 t", "104/102R", "--wheels", "twin")),
    ),
)
