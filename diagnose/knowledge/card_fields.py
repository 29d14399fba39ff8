"""The tables of a vehicle's card: its keys, the dates that it may hold, and kinds of instruments.

The years after which something is due and the doubts of instruments are common practice and judgement: each
line says where its figure comes from. A date that is due is told once, and never keeps anybody from walking.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.knowledge.fields import NEEDS, POSITIVE, Field

AXLES = ("front", "middle", "rear")
"""A caravan with one axle has the rear one."""

LONGEST_LABEL = 60
LONGEST_WHEREABOUTS = 120
"""Characters: what is longer does not fit a line or two of the locker card."""

CARD_TABLES: Mapping[str, tuple[Field, ...]] = {
    "card": (
        Field("label", "text", "a name of your own for the vehicle"),
        Field("country", "text", "the country that it is in"),
        Field("facts", "tables", "what stays true of it: a fact's id and its answer"),
        Field("where", "tables", "a part's id and where that part is"),
        Field("instruments", "tables", "a unit or a check's id, and how far your instrument may be out"),
        Field("cannot", "words", "what you cannot do", words=NEEDS),
        Field("dates", "tables", "dates as printed or as last done"),
        Field("tyres", "tables", "pressure and weighed load by axle"),
        Field("numbers", "tables", "whom to call (a referral's id) and the number"),
    ),
    "instrument": (Field("uncertainty", "number", "how far it may be out", required=True, limits=POSITIVE),),
    "axle": (
        Field("pressure", "quantity", "the cold pressure for this load", words=("4.5 bar", "65 psi")),
        Field("load", "quantity", "what the axle weighs", words=("1650 kg",)),
    ),
}


COMMON_PRACTICE = "common practice, no source"
PRINTED = "printed on it"
BY_ITS_PAPER = "its paper says it; each country has its own rule"
UK_2026 = "on the licence; United Kingdom, 2026, from memory, the authority decides"


@dataclass(frozen=True, slots=True)
class DateKind:
    """A date that a card may hold: what it is of, when that is due, and what is said then."""

    says: str
    means: Literal["made", "done", "ends"]
    """Whether the date says when it was made or fitted, when it was last done, or when it ends."""
    due: str
    """What is to be done once it is due; "" where nothing is ever due."""
    years: int = 0
    """Years after the date at which it is due; 0 for a date that is the end itself."""
    many: bool = False
    """Whether it is more than one thing (the tyres are, the hose is)."""
    source: str = COMMON_PRACTICE
    """Where the term comes from."""
    driver: bool = False
    """Whether it is of the driver and not of the vehicle: then it is nobody else's business."""


DATES: Mapping[str, DateKind] = {
    # Common practice, no source: five years from the date printed on the hose.
    "gas-hose": DateKind("gas hose", "made", "have it changed by a gas engineer", 5),
    # Common practice, no source.
    "gas-regulator": DateKind("gas regulator", "made", "have it changed by a gas engineer", 10),
    # Common practice, no source: ten years by the date code, however good the tread.
    "tyres": DateKind("tyres", "made", "have them changed before you drive", 10, many=True),
    "spare-tyre": DateKind("spare tyre", "made", "have it changed", 10),
    # The end date is printed on the alarm.
    "alarm": DateKind(
        "carbon-monoxide alarm", "ends", "fit a new one before anybody sleeps inside", source=PRINTED
    ),
    "gas-alarm": DateKind("gas alarm", "ends", "fit a new one", source=PRINTED),
    "extinguisher": DateKind(
        "fire extinguisher", "ends", "have it serviced or fit a new one", source=PRINTED
    ),
    # Common practice, no source; for a vehicle that is let out the law may ask for it every year.
    "gas-check": DateKind("gas check", "done", "have it done by a gas engineer", 1),
    # Common practice for touring vehicles, no source; more often where the vehicle is let out.
    "mains-check": DateKind("mains check", "done", "have it done by an electrician", 3),
    # Common practice, no source; a warranty may ask for it.
    "habitation-check": DateKind("habitation check", "done", "have it done", 1),
    # Common practice, no source: once a year, and with each wake-up.
    "belt-check": DateKind("seat-belt check", "done", "look over each belt in its whole length", 1),
    "tyre-check": DateKind("tyre check", "done", "look at tread and inner walls", 1),
    # The test of the country that it has to pass to be on the road: the day stands on its paper.
    "road-test": DateKind("road test", "ends", "have it done before you drive", source=BY_ITS_PAPER),
    # It may ask for the yearly checks, and lapse without them.
    "warranty": DateKind("warranty", "ends", "read its terms before you count on it", source=PRINTED),
    # What the licence says of the weight that is driven; in the United Kingdom a car licence from before 1997
    # carries C1 until 70.
    "licence": DateKind(
        "driving licence", "ends", "ask the authority before you drive", source=UK_2026, driver=True
    ),
    # In the United Kingdom C1 from 70 on asks for a doctor's report with each renewal.
    "medical": DateKind(
        "driver's medical", "ends", "ask the authority before you drive", source=UK_2026, driver=True
    ),
    # In the United Kingdom it holds for ten years.
    "photo-card": DateKind(
        "photo card of the licence", "ends", "renew it before you drive", source=UK_2026, driver=True
    ),
    # Common practice, no source: a new one each season.
    "water-filter": DateKind("water filter", "made", "change it", 1),
    # Nothing is due: the age only tells how likely it is that a battery is worn.
    "leisure-battery": DateKind("leisure battery", "made", ""),
    "starter-battery": DateKind("starter battery", "made", ""),
}

DATE_CODES = ("tyres", "spare-tyre")
"""Dates that are stamped as week and year, `1321` being week 13 of 2021."""


@dataclass(frozen=True, slots=True)
class InstrumentKind:
    """A kind of instrument: the unit that it shows, and its standard uncertainty in that unit."""

    unit: str
    uncertainty: float


INSTRUMENTS: Mapping[str, InstrumentKind] = {
    # All judgement, of the cheap kind that is met on the road; a figure of one's own is better.
    "panel-meter": InstrumentKind("V", 0.2),
    "hand-meter": InstrumentKind("V", 0.05),
    "clamp-meter": InstrumentKind("A", 0.5),
    "damp-meter": InstrumentKind("%", 3.0),
    "thermometer": InstrumentKind("°C", 1.0),
    "tyre-gauge": InstrumentKind("bar", 0.1),
    "luggage-scales": InstrumentKind("kg", 0.3),
}
