"""Licence: may this person drive this weight? The United Kingdom's rule, as of a date, never the last word.

What counts is the greatest mass on the plate, not what the vehicle weighs today. Category B goes to 3,500 kg,
C1 to 7,500 kg. A car licence first held before 1997 carries C1 without a further test; at 70 it lapses unless
a doctor's report is sent in with the renewal. Written from memory, with public guides read second-hand. The
rule is under revision, so every result says when it was written down and whom to ask.
"""

from __future__ import annotations

from math import floor
from typing import Literal

from diagnose.gauges.days import TODAY, day
from diagnose.gauges.gauge import Gauge, NotPossible, Outcome, Quantity, Words, within
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import plain

AS_OF = 2026
"""The year in which the rule was written down here."""

CAR_LIMIT = 3500.0
"""Kilograms on the plate up to which category B serves."""

MEDIUM_LIMIT = 7500.0
"""Kilograms on the plate up to which category C1 serves."""

LAST_YEAR_WITH_C1 = 1996
"""A car licence first held in this year or earlier carries C1."""

MEDICAL_AGE = 70
YOUNGEST_EVER = 16
"""Nobody passed a car test younger than this; years are whole ones, so one is allowed for birthdays."""

CAR_AGE = 17
MEDIUM_AGE = 18

Verdict = Literal["too-young", "category-b", "category-c1", "c1-with-medical", "c1-test-first", "category-c"]


def category(plate: float, age: int, first_licence: int) -> Verdict:
    """What the rule asks of a driver: greatest mass in kg, age in years, year of the first licence.

    >>> category(3500, 75, 1980), category(4250, 75, 1980), category(4250, 40, 2005)
    ('category-b', 'c1-with-medical', 'c1-test-first')
    """
    if age < CAR_AGE:
        return "too-young"
    if plate <= CAR_LIMIT:
        return "category-b"
    if age < MEDIUM_AGE:
        return "too-young"
    if plate > MEDIUM_LIMIT:
        return "category-c"
    if first_licence > LAST_YEAR_WITH_C1:
        return "c1-test-first"
    return "c1-with-medical" if age >= MEDICAL_AGE else "category-c1"


def licence(plate: Measured, age: Measured, first_licence: str, today: str | None) -> Outcome:
    """Kilograms on the plate under 3,500 (minus: over), and what the rule asks of this driver."""
    until, years, first = day(today), floor(age.value), int(first_licence)
    if first > until.year:
        raise NotPossible(
            f"first-licence: {first} is still to come on {until.isoformat()}; write it like 1994."
        )
    if years - (until.year - first) < YOUNGEST_EVER:
        raise NotPossible(
            f"first-licence: whoever is {years} in {until.year} was a child in {first}; look for the year "
            "when the driving test was passed, such as 1994."
        )
    found = category(plate.value, years, first)
    notes = [
        f"The United Kingdom's rule as written down here in {AS_OF}, from memory; other countries differ."
    ]
    if until.year > AS_OF:
        notes.append(f"It is {until.year} now: the rule may have changed since.")
    if found != "too-young" and years >= MEDICAL_AGE:
        notes.append("From 70 on any licence is renewed every three years.")
    notes += [
        "The plate's greatest mass counts, not what the vehicle weighs today; a trailer has a rule of its "
        "own.",
        DOUBT,
    ]
    room = Measured(CAR_LIMIT - plate.value, plate.uncertainty)
    return Outcome(room, "kg", f"{MEANS[found]} {ASK}", notes=tuple(notes))


ASK = "Ask the authority (DVLA; in Northern Ireland DVA) before you rely on it."

DOUBT = (
    "This is in doubt: the rule is being revised, alternative fuels and health count too, and what stands on "
    "your licence decides. It certifies nothing as lawful or safe."
)

MEANS: dict[Verdict, str] = {
    "too-young": "By the rule this driver is too young for that weight.",
    "category-b": "By the rule category B, the car licence, goes to that weight.",
    "category-c1": "By the rule it takes category C1, which a car licence from before 1997 carries until 70.",
    "c1-with-medical": (
        "By the rule it takes category C1, which lapsed at 70 unless a doctor's report (form D4) was sent in."
    ),
    "c1-test-first": (
        "By the rule it takes category C1, which a car licence from 1997 on does not carry: it is not driven "
        "before that test is passed."
    ),
    "category-c": "By the rule it takes category C, which no car licence carries.",
}


def plain_year(text: str) -> str:
    """A year in four figures; raises NotPossible for one in which nobody alive had a licence."""
    shown = text.strip()
    if not (len(shown) == 4 and shown.isascii() and shown.isdigit()):
        raise NotPossible(
            f'first-licence: "{plain(text)}" is no year; write it in four figures, such as 1994.'
        )
    if int(shown) < 1930:
        raise NotPossible(f"first-licence: nobody who drives today passed in {shown}; write it like 1994.")
    return shown


GAUGES = (
    Gauge(
        "licence",
        "What the United Kingdom's rule asks of a driver for this weight and age",
        (
            Quantity(
                "plate",
                "greatest mass allowed, as on the vehicle's plate",
                "kg",
                "3850 kg",
                refuse=within(
                    500,
                    44_000,
                    "no leisure vehicle's plate says so little; is it in t? Write it like 3850 kg",
                    "no vehicle's plate says so much; write it like 3850 kg",
                ),
            ),
            Quantity(
                "age",
                "age of the driver",
                "years",
                "64 years",
                refuse=within(0, 115, "nobody is younger than nothing", "nobody drives at that age"),
            ),
            Words("first-licence", "year in which the car test was passed", "1994", plain_year),
            TODAY,
        ),
        (
            "The plate is in the door frame or under the bonnet; of its weights it is the first, the "
            "vehicle's own.",
            "The year stands in small figures on the back of the photo card, beside category B.",
        ),
        "B to 3,500 kg; C1 to 7,500 kg, carried by car licences from before 1997, from 70 on with a "
        "doctor's report",
        "UK licensing rule in 2026, from memory, and public guides, second-hand: in doubt, the authority "
        "decides",
        licence,
        (("3850 kg", "64 years", "1994", "--today", "2026-03-25"),),
    ),
)
