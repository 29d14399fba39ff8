"""What comes back, in which vehicles, what grows more frequent, when in the year, and what would prevent it.

Everything is counted over confirmed cases as they are, not weighed by how well outcomes come back: the
interval of a count is one of cases that there were. What is missing is told beside (`Basis`). Causes stand
under the ids that their trees have today.

With some hundred causes and vehicles something always looks unusual. Each question is therefore asked only of
what has enough cases, and its answers are marked as standing out only after the chances of all of them have
been adjusted for being so many (Benjamini & Hochberg 1995).
"""

from __future__ import annotations

from calendar import monthrange
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.cases import counting
from diagnose.cases.counting import ByMonth, CameBack, OfVehicle
from diagnose.cases.counting_answers import by_answer
from diagnose.cases.store import CaseStore
from diagnose.reasoning.inference import (
    above_the_others,
    controlled,
    count,
    gamma_share,
    many_of_one,
    share,
)
from diagnose.reasoning.learning import ENDINGS
from diagnose.reasoning.past_causes import Causes
from diagnose.reviewing.preventing import preventions
from diagnose.reviewing.trends_regression import change, other_time_of_year
from diagnose.reviewing.trends_told import (
    Asked,
    Basis,
    Course,
    Courses,
    Months,
    Return,
    Season,
    Tested,
    Trends,
    Vehicles,
)
from diagnose.terms import Band, Tree

FEWEST_CASES = 10
"""Confirmed cases of a cause below which nothing is said of its years, months and lay-ups."""
FEWEST_VEHICLES = 5
"""Vehicles below which nothing is said of how often a cause comes back."""
FEWEST_YEARS = 3
FEWEST_FOR_MONTHS = 60
"""Five to a month, that a chi-square test may be trusted (Cochran 1954, from memory)."""
MOST_LISTED = 50
"""Vehicles that are named, no more: a store may have a hundred thousand."""
LAID_UP = "months-laid-up"


@dataclass(frozen=True, slots=True)
class Counts:
    """What the database has added up, and the vehicles that were looked up by it."""

    causes: Causes
    by_month: tuple[ByMonth, ...] = ()
    came_back: tuple[CameBack, ...] = ()
    by_number: Mapping[int, int] = field(default_factory=dict)
    marked: tuple[OfVehicle, ...] = ()
    again: tuple[OfVehicle, ...] = ()
    laid_up: Mapping[tuple[str, str, str], int] = field(default_factory=dict)
    endings: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    elsewhere: int = 0


def trends_of(store: CaseStore | None, asked: Asked, trees: Mapping[str, Tree]) -> Trends:
    """Counts everything in one reading of the store, or nothing without one; `trees` are those at hand."""
    found = Counts(Causes(trees, ())) if store is None else _counted(store, asked, trees)
    return Trends(
        asked=asked,
        basis=_basis(found),
        returns=_returns(found.came_back, found.causes),
        vehicles=_vehicles(found) if asked.wanted.vehicle is None else None,
        again=tuple((each, found.causes.says(each.symptom, each.cause)) for each in found.again),
        years=_by_year(found.by_month, found.causes),
        months=_months(found.by_month, found.causes),
        laid_up=_by_lay_up(found.laid_up, found.causes, trees),
        prevention=preventions(_by_cause(found.by_month), trees),
    )


def _counted(store: CaseStore, asked: Asked, trees: Mapping[str, Tree]) -> Counts:
    wanted = asked.wanted
    with store.reading() as connection:
        causes = Causes(trees, counting.causes_met(connection))
        by_number = counting.vehicles_by_number(connection, wanted)
        least = _clearly_many(by_number)
        return Counts(
            causes=causes,
            by_month=counting.by_month(connection, wanted, causes.today),
            came_back=counting.came_back(connection, wanted, causes.today, asked.months, asked.end),
            by_number=by_number,
            marked=counting.vehicles_with(connection, wanted, least, MOST_LISTED) if least else (),
            again=counting.again_and_again(connection, wanted, causes.today, MOST_LISTED),
            laid_up=by_answer(connection, wanted, causes.today, LAID_UP),
            endings=counting.by_ending(connection, wanted),
            elsewhere=counting.confirmed_elsewhere(connection, wanted.symptom),
        )


def _basis(found: Counts) -> Basis:
    total = sum(each.cases for each in found.by_month)
    when = sorted({f"{each.year:04}-{each.month:02}" for each in found.by_month}) or [""]
    return Basis(
        cases=total,
        causes=len(_by_cause(found.by_month)),
        first=when[0],
        last=when[-1],
        vehicles=sum(found.by_number.values()),
        without_vehicle=total - sum(number * vehicles for number, vehicles in found.by_number.items()),
        endings={id: found.endings[id] for id in ENDINGS if id in found.endings},
        elsewhere=found.elsewhere,
    )


def _by_cause(by_month: Sequence[ByMonth]) -> Counter[tuple[str, str]]:
    sums: Counter[tuple[str, str]] = Counter()
    for each in by_month:
        sums[each.symptom, each.cause] += each.cases
    return sums


# By vehicle -----------------------------------------------------------------------------------------------


def _returns(found: Sequence[CameBack], causes: Causes) -> tuple[Return, ...]:
    """All causes that were put right in some vehicle; the surest to come back first."""
    hits, of = sum(each.came_back for each in found), sum(each.watched for each in found)
    asked = [each for each in found if FEWEST_VEHICLES <= each.watched < of]
    chances = [above_the_others(each.came_back, each.watched, hits, of) for each in asked]
    tested = dict(zip(asked, _tested(chances), strict=True))
    all_of_them = [
        Return(
            each,
            causes.says(each.symptom, each.cause),
            share(each.came_back, each.watched),
            tested.get(each),
        )
        for each in found
    ]
    return tuple(sorted(all_of_them, key=lambda each: (-each.share.low, -each.counts.watched)))


def _vehicles(found: Counts) -> Vehicles:
    tested = _many(found.by_number)
    return Vehicles(
        mean=_mean(found.by_number),
        compared=sum(found.by_number.values()),
        standing_out=sum(found.by_number[number] for number in tested if tested[number].stands_out),
        marked=tuple((each, count(each.cases), tested[each.cases]) for each in found.marked),
    )


def _clearly_many(by_number: Mapping[int, int]) -> int | None:
    """From how many cases on a vehicle has clearly more than its share; None where none has."""
    tested = _many(by_number)
    return min((number for number in tested if number > 1 and tested[number].stands_out), default=None)


def _many(by_number: Mapping[int, int]) -> dict[int, Tested]:
    """Each number of cases that some vehicle has, tested; all vehicles with one number at once."""
    numbers = sorted(by_number)
    chances = [many_of_one(number, _mean(by_number)) for number in numbers]
    adjusted = controlled(chances, [by_number[number] for number in numbers])
    return {number: Tested(*each) for number, *each in zip(numbers, chances, adjusted, strict=True)}


def _mean(by_number: Mapping[int, int]) -> float:
    vehicles = sum(by_number.values())
    return sum(number * each for number, each in by_number.items()) / vehicles if vehicles else 0.0


# Along the years, and along the months laid up ------------------------------------------------------------


def _by_year(by_month: Sequence[ByMonth], causes: Causes) -> Courses:
    years = [each.year for each in by_month]
    steps = range(min(years), max(years) + 1) if years else range(0)
    cases = Counter[tuple[str, str, int]]()
    for each in by_month:
        cases[each.symptom, each.cause, each.year] += each.cases
    enough = len(set(years)) >= FEWEST_YEARS
    return _courses([str(year) for year in steps], steps, cases, causes, enough)


def _by_lay_up(
    found: Mapping[tuple[str, str, str], int], causes: Causes, trees: Mapping[str, Tree]
) -> Courses:
    facts = (tree.facts[LAID_UP] for tree in trees.values() if LAID_UP in tree.facts)
    bands = next((fact.bands for fact in facts if fact.bands), ())
    places = {band.id: place for place, band in enumerate(bands)}
    cases = Counter[tuple[str, str, int]]()
    for (symptom, cause, answer), number in found.items():
        if answer in places:
            cases[symptom, cause, places[answer]] += number
    enough = len({place for _, _, place in cases}) >= 2
    return _courses([_band_in_words(band) for band in bands], range(len(bands)), cases, causes, enough)


def _courses(
    steps: Sequence[str],
    scores: Sequence[int],
    cases: Mapping[tuple[str, str, int], int],
    causes: Causes,
    enough: bool,
) -> Courses:
    of = [sum(number for at, number in cases.items() if at[2] == score) for score in scores]
    ids = sorted({at[:2] for at in cases})
    lines = {id: tuple(cases.get((*id, score), 0) for score in scores) for id in ids}
    asked = [id for id in ids if enough and FEWEST_CASES <= sum(lines[id]) < sum(of)]
    changes = [change(lines[id], of, scores) for id in asked]
    tested = _tested([each.chance for each in changes])
    found = [
        Course(*id, causes.says(*id), lines[id], changed, test)
        for id, changed, test in zip(asked, changes, tested, strict=True)
    ]
    ordered = tuple(sorted(found, key=lambda each: each.tested.chance))
    return Courses(tuple(steps), tuple(of), ordered, len(ids) - len(asked))


def _band_in_words(band: Band) -> str:
    if band.low <= 0:
        return f"under {band.high:g}"
    return f"{band.low:g} to {band.high:g}" if band.high < 60 else f"{band.low:g} or more"


# By month of the year -------------------------------------------------------------------------------------


def _months(by_month: Sequence[ByMonth], causes: Causes) -> Months:
    cases: dict[tuple[str, str], list[int]] = {}
    for each in by_month:
        cases.setdefault((each.symptom, each.cause), [0] * 12)[each.month - 1] += each.cases
    of = [sum(line[month] for line in cases.values()) for month in range(12)]
    asked = [id for id, line in cases.items() if FEWEST_CASES <= sum(line) < sum(of)]
    found = [other_time_of_year(cases[id], of) for id in asked]
    tested = _tested([chance for chance, _ in found])
    seasons = [
        _season(id, causes, cases[id], of, peak, test)
        for id, (_, peak), test in zip(asked, found, tested, strict=True)
    ]
    ordered = tuple(sorted(seasons, key=lambda each: each.tested.chance))
    return Months(tuple(map(count, of)), _unevenness(of), ordered, len(cases) - len(asked))


def _season(
    id: tuple[str, str], causes: Causes, line: Sequence[int], of: Sequence[int], peak: float, tested: Tested
) -> Season:
    middle = round(peak) % 12
    near = [(middle + by) % 12 for by in (-1, 0, 1)]
    part, whole = sum(line[month] for month in near), sum(of[month] for month in near)
    return Season(
        *id,
        causes.says(*id),
        tuple(line),
        middle + 1,
        share(part, sum(line)),
        whole / sum(of),
        tested,
    )


def _unevenness(of: Sequence[int]) -> float | None:
    """The chi-square test of twelve months against their days (Pearson 1900, eleven degrees of freedom)."""
    total = sum(of)
    if total < FEWEST_FOR_MONTHS:
        return None
    days = [monthrange(2026, month + 1)[1] for month in range(12)]
    expected = [total * each / sum(days) for each in days]
    statistic = sum((o - e) ** 2 / e for o, e in zip(of, expected, strict=True))
    return 1 - gamma_share(11 / 2, statistic / 2)


def _tested(chances: Sequence[float]) -> list[Tested]:
    return [Tested(*each) for each in zip(chances, controlled(chances), strict=True)]
