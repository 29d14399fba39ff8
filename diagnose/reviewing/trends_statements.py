"""What trends say, as plain sentences for a technician: the same on a screen and on a page."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Literal

from diagnose.cases.counting import OfVehicle
from diagnose.reasoning.inference import Interval
from diagnose.reviewing.trends_told import Course, Courses, Months, Return, Season, Tested, Trends

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

SOURCES = (
    "Intervals hold 90 in 100: shares by Wilson 1927, counts by Garwood 1936, changes by profile likelihood."
)
MANY = (
    "Where much is compared, something always looks unusual. What is said to stand out does so after "
    "allowing for that (Benjamini & Hochberg 1995): of all that is said so under one heading, no more "
    "than about one in twenty should be chance."
)
NEVER_AGAIN = "No vehicle had one cause on two days."
NOT_CERTAIN = "A trend says what to look into. It does not say why."

Scale = Literal["years", "laid-up"]


def basis(trends: Trends) -> list[str]:
    """What was counted, and what is missing."""
    found = trends.basis
    if not found.cases:
        return ["No confirmed case fits. Only confirmed cases are counted: diagnose cases confirm"]
    sentences = [
        f"Counted: {_cases(found.cases, 'confirmed ')} of {_number(found.causes, 'cause')}, "
        f"opened from {found.first} to {found.last}, in {_number(found.vehicles, 'vehicle')}."
    ]
    if found.without_vehicle:
        verb = "carries" if found.without_vehicle == 1 else "carry"
        sentences.append(f"{_cases(found.without_vehicle)} {verb} no vehicle's label.")
    words = {"referred": "handed on", "stopped": "stopped for danger", "cured": "cured"}
    untold = {id: ended - known for id, (ended, known) in found.endings.items() if ended > known}
    if untold:
        parts = [
            f"{untold[id]:,} of {found.endings[id][0]:,} that were {words[id]}"
            for id in words
            if id in untold
        ]
        sentences.append(f"Nobody has told what it was of {_joined(parts)}: these are not counted.")
    if found.elsewhere:
        sentences.append(
            f"{_cases(found.elsewhere)} of other workshops stand in the sums by year alone, without day and "
            "vehicle, and are left out."
        )
    return sentences


def returns(trends: Trends) -> list[str]:
    """What comes back clearly more often than the rest."""
    tested = [each for each in trends.returns if each.tested is not None]
    if not tested:
        return ["Too little to say: no cause was put right in five vehicles that could be watched so long."]
    marked = [each for each in tested if each.tested is not None and each.tested.stands_out]
    if not marked:
        return [f"Of {_number(len(tested), 'cause')} none comes back clearly more often than the others."]
    return [came_back(each, trends.asked.months) for each in marked]


def came_back(each: Return, months: int) -> str:
    """One cause that came back, in words."""
    return (
        f"{each.says} ({each.counts.symptom}): came back in {each.counts.came_back} of "
        f"{_number(each.counts.watched, 'vehicle')} within {within(months)} of being put right "
        f"({in_100(each.share)})."
    )


def vehicles(trends: Trends) -> list[str]:
    """Which vehicles have clearly more cases than their share."""
    found = trends.vehicles
    if found is None:
        return []
    if found.compared < 2:
        return ["Too little to say: fewer than two vehicles are known by a label."]
    usual = f"a vehicle that has any has {found.mean:.1f} on average"
    if not found.marked:
        return [
            f"Of {_number(found.compared, 'vehicle')} none has clearly more cases than its share; {usual}."
        ]
    return [
        f"{named(vehicle)}: {_cases(vehicle.cases)} (between {cases.low:.0f} and {cases.high:.0f}); {usual}."
        for vehicle, cases, _ in found.marked
    ]


def courses(found: Courses, scale: Scale) -> list[str]:
    """What becomes more or less frequent along the years, or the months laid up."""
    if not found.causes:
        if scale == "years":
            return ["Too little to say: it takes three years, and ten cases of a cause."]
        if not sum(found.of):
            return ["No counted case tells how long the vehicle was laid up."]
        return ["Too little to say: it takes lay-ups of different length, and ten cases of a cause."]
    marked = [each for each in found.causes if each.tested.stands_out]
    if not marked:
        return [f"Of {_number(len(found.causes), 'cause')} none changes more than chance would explain."]
    return [_course(each, found, scale) for each in marked]


def _course(each: Course, found: Courses, scale: Scale) -> str:
    rises = each.change.factor.value > 1
    if scale == "years":
        how = "grows more frequent" if rises else "grows less frequent"
        step, ends = "from one year to the next", (f"in {found.steps[0]}", f"in {found.steps[-1]}")
    else:
        how = "comes more after long lay-ups" if rises else "comes less after long lay-ups"
        step, ends = "from one length to the next", ("after the shortest", "after the longest")
    return (
        f"{each.says} ({each.symptom}): {how}, {times(each.change.factor)} {step}; from "
        f"{_hundredth(each.change.first)} of all cases {ends[0]} to {_hundredth(each.change.last)} {ends[1]}."
    )


def counts_along(each: Course, found: Courses) -> str:
    """The counts that a change was read off.

    Each as `2024 3/61`.
    """
    pairs = zip(found.steps, each.cases, found.of, strict=True)
    return ", ".join(f"{step} {number:,}/{of:,}" for step, number, of in pairs)


def months(found: Months) -> list[str]:
    """When in the year cases come, and which causes have a season of their own."""
    sentences = []
    if found.chance is None:
        sentences.append("Too few cases to say when in the year they come: five a month are the least.")
    elif found.chance > 0.05:
        sentences.append("All cases together come evenly over the year, as far as can be told.")
    else:
        most = max(range(12), key=lambda month: found.all[month].value)
        sentences.append(f"All cases together do not come evenly over the year; most in {MONTHS[most]}.")
    marked = [each for each in found.causes if each.tested.stands_out]
    if found.causes and not marked:
        count = _number(len(found.causes), "cause")
        sentences.append(f"Of {count} none has clearly a season of its own.")
    return sentences + [season(each) for each in marked]


def season(each: Season) -> str:
    """When one cause comes."""
    before, after = MONTHS[each.peak - 2], MONTHS[each.peak % 12]
    return (
        f"{each.says} ({each.symptom}): comes about {MONTHS[each.peak - 1]}; {_hundredth(each.near.value)} "
        f"of its cases from {before} to {after} ({in_100(each.near)}), of all cases "
        f"{_hundredth(each.of_all)}."
    )


def prevention(trends: Trends) -> list[str]:
    """What would have saved the most work."""
    if not trends.prevention:
        return ["Too little to say: no counted case has a cause that a tree at hand tells how to prevent."]
    first = trends.prevention[0]
    return [
        f"Most work would have been saved by this: {first.text.rstrip('.')}. {_cases(first.cases)}, about "
        f"{work(first.minutes.value)} of putting right ({between_hours(first.minutes)}).",
        "Counted is the tree's own work for putting each cause right, or the referral's. Finding it comes on "
        "top, so each saves at least as much, if it is done and always works.",
    ]


# Words ----------------------------------------------------------------------------------------------------


def named(vehicle: OfVehicle) -> str:
    """A vehicle's label, which somebody typed."""
    return vehicle.vehicle or "a vehicle without a label"


def within(months: int) -> str:
    """So many months.

    >>> within(12), within(6), within(24), within(1)
    ('a year', '6 months', '2 years', 'a month')
    """
    if months % 12 == 0:
        return "a year" if months == 12 else f"{months // 12} years"
    return "a month" if months == 1 else f"{months} months"


def in_100(interval: Interval) -> str:
    """The ends of an interval of shares.

    >>> in_100(Interval(0.5, 0.21, 0.58))
    'between 21 and 58 in 100'
    """
    return f"between {100 * interval.low:.0f} and {100 * interval.high:.0f} in 100"


def times(factor: Interval) -> str:
    """How many times the odds become, with the interval.

    >>> times(Interval(1.36, 1.18, 1.58)), times(Interval(2.0, 0.0, float("inf")))
    ('1.4 times (between 1.2 and 1.6)', '2.0 times (above 0)')
    """
    if not isfinite(factor.value):
        return f"more than {factor.low:.1f} times"
    low = f"{factor.low:.1f}" if factor.low else "0"
    if not isfinite(factor.high):
        return f"{factor.value:.1f} times (above {low})"
    return f"{factor.value:.1f} times (between {low} and {factor.high:.1f})"


def work(minutes: float) -> str:
    """A sum of work.

    >>> work(40), work(90), work(8640)
    ('40 minutes', '1.5 hours', '144 hours')
    """
    if minutes < 60:
        return f"{minutes:.0f} minutes"
    return f"{minutes / 60:.1f} hours" if minutes < 600 else f"{minutes / 60:,.0f} hours"


def between_hours(minutes: Interval) -> str:
    """The ends of an interval of work."""
    return f"between {work(minutes.low)} and {work(minutes.high)}"


def stands_out(tested: Tested | None) -> bool:
    """Whether a test was made and its answer is more than chance."""
    return tested is not None and tested.stands_out


def _hundredth(share: float) -> str:
    if 0 < share < 0.005:
        return "less than 1 in 100"
    return f"{100 * share:.0f} in 100"


def _cases(number: int, which: str = "") -> str:
    return f"{number:,} {which}{'case' if number == 1 else 'cases'}"


def _number(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


def _joined(parts: Sequence[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
