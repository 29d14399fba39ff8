"""An invented hire fleet whose past has known trends in it, for tests and documents; all drawn from a seed.

What is planted, and is to be found again:

- the flue nest of the space heater comes in spring, and comes back in some vehicles the year after
- the worn leisure battery grows more frequent from year to year
- "van 13" has three times as many cases as the others
- a standing drain of the battery comes more after a long lay-up
- one in three outcomes of what was handed on is never told

Everything else is even. No vehicle, owner or workshop is meant.

    python -m tests.reviewing.fleet past.csv

writes the cases as a table, as `diagnose cases import` reads it.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from diagnose.cases.records import CaseRecord, Entry
from tests.reviewing.made_up_past import MadeUp

SEED = 1127
FIRST, LAST = 2020, 2026
END = datetime(2026, 11, 1, tzinfo=UTC)
VANS = 36
LEFT_UNTOLD = 1 / 3

NEST = ("heater-no-fire", "flue-nest")
WORN = ("leisure-battery-weak", "battery-worn")
DRAIN = ("leisure-battery-weak", "standing-drain")
EVEN = (
    ("heater-no-fire", "cylinder-empty"),
    ("heater-no-fire", "battery-weak"),
    ("heater-no-fire", "fuse-or-switch"),
    ("leisure-battery-weak", "clamp-poor"),
    ("water-pump", "pump-fuse"),
    ("water-pump", "pump-seized"),
    ("water-pump", "tank-empty"),
    ("water-pump", "not-listed"),
)
HANDED_ON = {NEST, WORN}


@dataclass(frozen=True)
class Happened:
    """One case as it truly was."""

    opened: datetime
    vehicle: str
    kind: tuple[str, str]
    laid_up: str
    """The band of months."""


def happenings(seed: int = SEED) -> list[Happened]:
    """Every case of the fleet, by the time of its opening."""
    rng = np.random.default_rng(seed)
    found = [one for year in range(FIRST, LAST + 1) for one in _of_year(year, rng)]
    return sorted((one for one in found if one.opened < END), key=lambda one: one.opened)


def _of_year(year, rng):
    kinds = [EVEN[int(i)] for i in rng.integers(0, len(EVEN), 48)]
    kinds += [WORN] * int(rng.poisson(3 + 2.5 * (year - FIRST)))
    kinds += [DRAIN] * 7
    for kind in kinds:
        bands = [0.2, 0.3, 0.5] if kind == DRAIN else [0.4, 0.4, 0.2]
        laid_up = str(rng.choice(["short", "season", "long"], p=bands))
        yield Happened(_day(year, rng.uniform(0, 365), rng), _van(rng), kind, laid_up)
    for place in range(8):
        # Every year's spiders like the same vans, and come a little earlier than the year before.
        day = rng.uniform(120, 127) - 8 * (year - FIRST)
        yield Happened(_day(year, day, rng), f"van {1 + place}", NEST, "season")


def _day(year, day, rng):
    return datetime(year, 1, 1, 8, tzinfo=UTC) + timedelta(days=float(day), minutes=int(rng.integers(480)))


def _van(rng):
    number = int(rng.integers(1, VANS + 3))
    return "van 13" if number > VANS else f"van {number}"


def past(seed: int = SEED) -> list[MadeUp]:
    """The same as cases of a store, with those among them whose outcome was never told."""
    rng = np.random.default_rng(seed + 1)
    return [
        _case(number, one, bool(rng.random() < LEFT_UNTOLD)) for number, one in enumerate(happenings(seed), 1)
    ]


def _case(number, one, untold):
    handed_on = one.kind in HANDED_ON
    confirmed = not (handed_on and untold)
    months = {"short": 1.5, "season": 6.0, "long": 14.0}[one.laid_up]
    record = CaseRecord(
        number,
        one.kind[0],
        "0" * 64,
        "technician",
        "referred" if handed_on else "cured",
        one.opened,
        one.opened + timedelta(minutes=40),
        one.vehicle,
        "workshop" if handed_on else "",
        "" if handed_on else one.kind[1],
        confirmed,
        one.kind[1] if confirmed else "",
        entries=(Entry(one.opened, "finding", "months-laid-up", one.laid_up, months, 0.5, True, 1),),
    )
    return MadeUp(record, one.opened + timedelta(days=2) if confirmed else None)


def main() -> None:
    """Writes the table."""
    with Path(sys.argv[1]).open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["case", "date", "symptom", "cause", "vehicle", "state", "months-laid-up"])
        for each in past():
            record = each.record
            day = f"{record.opened:%Y-%m-%d}"
            months = f"{record.entries[0].value:g}"
            out.writerow(
                [record.case, day, record.symptom, record.cause, record.vehicle, record.state, months]
            )


if __name__ == "__main__":
    main()
