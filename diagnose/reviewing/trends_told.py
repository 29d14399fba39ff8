"""The values that trends are told in: to the terminal, to a page, and as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.cases.counting import CameBack, OfVehicle
from diagnose.cases.selecting import Wanted
from diagnose.reasoning.inference import Interval
from diagnose.reviewing.preventing import Prevention
from diagnose.reviewing.trends_regression import Change

LIMIT = 0.05
"""An adjusted chance at or below this stands out."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What trends are asked for: cases of `wanted`, returns within so many months, told at `now`."""

    wanted: Wanted
    now: datetime
    months: int = 12

    @property
    def end(self) -> datetime:
        """Up to when returns are known."""
        before = self.wanted.opened_before
        return self.now if before is None else min(self.now, before)


@dataclass(frozen=True, slots=True)
class Basis:
    """What the trends rest on, and what is missing."""

    cases: int
    causes: int
    first: str
    """Year and month of the earliest case, as 2026-03; empty without one."""
    last: str
    vehicles: int
    without_vehicle: int
    """Confirmed cases that carry no vehicle's label."""
    endings: Mapping[str, tuple[int, int]]
    """Ending -> how many cases ended so, and how many of them are confirmed."""
    elsewhere: int
    """Cases in sums from other stores: they have no day and no vehicle, and are left out."""


@dataclass(frozen=True, slots=True)
class Tested:
    """How likely something at least so unusual is by chance: by itself, and adjusted for all of its list."""

    chance: float
    adjusted: float

    @property
    def stands_out(self) -> bool:
        """Whether it is told as more than chance."""
        return self.adjusted <= LIMIT


@dataclass(frozen=True, slots=True)
class Return:
    """In how many vehicles a cause came back."""

    counts: CameBack
    says: str
    share: Interval
    tested: Tested | None
    """Against all other causes; None where there are too few vehicles."""


@dataclass(frozen=True, slots=True)
class Vehicles:
    """How cases are spread over vehicles, and which have clearly more than their share."""

    mean: float
    """Cases of a vehicle that has any."""
    compared: int
    standing_out: int
    """How many have clearly more than their share."""
    marked: tuple[tuple[OfVehicle, Interval, Tested], ...]
    """The first of them, those with the most cases."""


@dataclass(frozen=True, slots=True)
class Course:
    """How the share of one cause among all cases changes: with the years, or with the months laid up."""

    symptom: str
    cause: str
    says: str
    cases: tuple[int, ...]
    change: Change
    tested: Tested


@dataclass(frozen=True, slots=True)
class Courses:
    """All causes with enough cases along one scale, those that changed most surely first."""

    steps: tuple[str, ...]
    of: tuple[int, ...]
    """All cases at each step."""
    causes: tuple[Course, ...]
    too_few: int
    """Causes with too few cases to be looked at."""


@dataclass(frozen=True, slots=True)
class Season:
    """When in the year a cause comes, against all other cases."""

    symptom: str
    cause: str
    says: str
    cases: tuple[int, ...]
    peak: int
    """The month about which it is most frequent among all cases, from 1."""
    near: Interval
    """The share of its cases in that month and its two neighbours."""
    of_all: float
    """The same share of all cases."""
    tested: Tested


@dataclass(frozen=True, slots=True)
class Months:
    """Cases by month of the year over all years."""

    all: tuple[Interval, ...]
    """Each month's cases with the interval of a count."""
    chance: float | None
    """How likely months at least so uneven are by chance; None where there are too few cases."""
    causes: tuple[Season, ...]
    too_few: int


@dataclass(frozen=True, slots=True)
class Trends:
    """All of it."""

    asked: Asked
    basis: Basis
    returns: tuple[Return, ...]
    vehicles: Vehicles | None
    """None where one vehicle was asked for."""
    again: tuple[tuple[OfVehicle, str], ...]
    """Vehicles that had one cause on several days, with its words; the first of them."""
    years: Courses
    months: Months
    laid_up: Courses
    """By how long the vehicle was laid up, where a case knows that."""
    prevention: tuple[Prevention, ...]
