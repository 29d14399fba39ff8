"""Trends as a section of the page on past cases: what they say, bars, and the same figures as tables."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from diagnose.drawing.plots import Bar, bars
from diagnose.drawing.review_page import Part, Plot, Section, Table
from diagnose.reasoning.inference import Interval, share
from diagnose.reviewing import trends_statements as says
from diagnose.reviewing.trends_told import Course, Courses, Trends, Vehicles

SHOWN = 12
"""Rows of a table and bars of its plot; the rest is in the JSON."""


def trends_section(trends: Trends) -> Section:
    """The section; where no case was counted it says so."""
    parts: list[Part] = []
    if trends.basis.cases:
        parts = [
            *([_returns(trends), _vehicles(trends.vehicles, trends)] if trends.vehicles is not None else []),
            _again(trends),
            *_courses("Over the years", trends.years, "years"),
            _months(trends),
            *_courses("By months laid up", trends.laid_up, "laid-up"),
            _prevention(trends),
            Part("How sure it is", (says.MANY, says.SOURCES, says.NOT_CERTAIN)),
        ]
    return Section("trends", "Trends", tuple(says.basis(trends)), tuple(parts))


def _returns(trends: Trends) -> Part:
    within = says.within(trends.asked.months)
    came = [each for each in trends.returns if each.counts.came_back]
    rows = [
        (
            f"{place}. {each.says} ({each.counts.symptom})",
            "stands out" if says.stands_out(each.tested) else "",
            f"{each.counts.came_back:,} of {each.counts.watched:,}",
            says.in_100(each.share),
        )
        for place, each in enumerate(came[:SHOWN], 1)
    ]
    plots = _plots(
        "returns",
        f"Causes that came back within {within}",
        "vehicles, of 100, in which it came back",
        [(str(place), _hundredfold(each.share)) for place, each in enumerate(came[:SHOWN], 1)],
    )
    table = _table("In how many vehicles it came back", ("Cause", "", "Vehicles", "Interval"), rows, 2)
    return Part(
        f"What comes back within {within}", tuple(says.returns(trends)), plots, table, _more(len(came))
    )


def _vehicles(found: Vehicles, trends: Trends) -> Part:
    said = says.vehicles(trends)[:SHOWN]
    return Part("Vehicles with more than their share", tuple(said), notes=_more(found.standing_out))


def _again(trends: Trends) -> Part:
    rows = [
        (says.named(each), f"{words} ({each.symptom})", f"{each.cases:,}")
        for each, words in trends.again[:SHOWN]
    ]
    table = _table("Vehicles that had one cause on several days", ("Vehicle", "Cause", "Days"), rows, 2)
    none = () if rows else (says.NEVER_AGAIN,)
    return Part("The same cause again and again", none, (), table, _more(len(trends.again)))


def _courses(title: str, found: Courses, scale: says.Scale) -> list[Part]:
    said = says.courses(found, scale)
    marked = [each for each in found.causes if each.tested.stands_out]
    if not marked:
        return [Part(title, tuple(said))]
    pairs = list(zip(said, marked, strict=True))[:SHOWN]
    plots: list[Plot] = []
    tables: list[Table] = []
    for place, (_, each) in enumerate(pairs, 1):
        plot, table = _course(each, found, f"{scale}-{place}")
        plots += plot
        tables += table
    sentences = tuple(sentence for sentence, _ in pairs)
    return [Part(title, sentences, tuple(plots), tuple(tables), _more(len(marked)))]


def _course(each: Course, found: Courses, id: str) -> tuple[tuple[Plot, ...], tuple[Table, ...]]:
    steps = list(zip(found.steps, each.cases, found.of, strict=True))
    shares = [share(number, of) for _, number, of in steps]
    rows = [
        (step, f"{number:,}", f"{of:,}", says.in_100(one) if of else "")
        for (step, number, of), one in zip(steps, shares, strict=True)
    ]
    drawn = [
        (step, _hundredfold(one))
        for (step, _, _), one in zip(steps, shares, strict=True)
        if isfinite(one.value)
    ]
    named = f"{each.says} ({each.symptom})"
    return (
        _plots(id, named, "of 100 cases", drawn),
        _table(named, ("", "Cases", "Of", "Interval"), rows, 1),
    )


def _months(trends: Trends) -> Part:
    found = trends.months
    rows = [
        (name, f"{each.value:,.0f}", f"between {each.low:,.0f} and {each.high:,.0f}")
        for name, each in zip(says.MONTHS, found.all, strict=True)
    ]
    names = [name[:3] for name in says.MONTHS]
    plots = _plots("months", "Month of the year", "cases", list(zip(names, found.all, strict=True)))
    table = _table("Cases by month of the year", ("Month", "Cases", "Interval"), rows, 1)
    return Part("Month of the year", tuple(says.months(found)), plots, table)


def _prevention(trends: Trends) -> Part:
    first = trends.prevention[:SHOWN]
    rows = [
        (
            f"{place}. {each.text}",
            says.work(each.minutes.value),
            says.between_hours(each.minutes),
            f"{each.cases:,}",
        )
        for place, each in enumerate(first, 1)
    ]
    hours = [
        Interval(each.minutes.value / 60, each.minutes.low / 60, each.minutes.high / 60) for each in first
    ]
    plots = _plots(
        "prevention",
        "What would have saved most",
        "hours of putting right",
        [(str(place), each) for place, each in enumerate(hours, 1)],
    )
    table = _table("Work that each would have saved", ("Prevention", "Work", "Interval", "Cases"), rows, 1)
    return Part(
        "What would have saved most",
        tuple(says.prevention(trends)),
        plots,
        table,
        _more(len(trends.prevention)),
    )


def _plots(id: str, title: str, axis: str, named: Sequence[tuple[str, Interval]]) -> tuple[Plot, ...]:
    """One plot of some bars; none of none, or where all of them are nought."""
    if max((each.value for _, each in named), default=0.0) <= 0:
        return ()
    told = "; ".join(f"{name}: {each.value:,.0f}" for name, each in named)
    described = f"In {axis}, as in the table below. {told}."
    drawn = [Bar(name, each.value, each.low, each.high) for name, each in named]
    caption = f"{title}. Each bar with its interval; the table below has the figures."
    return (Plot(bars(f"trends-{id}", title, described, axis, drawn), caption),)


def _table(
    caption: str, header: tuple[str, ...], rows: Sequence[tuple[str, ...]], words: int
) -> tuple[Table, ...]:
    return (Table(caption, header, tuple(rows), words),) if rows else ()


def _more(number: int) -> tuple[str, ...]:
    return (f"{number - SHOWN:,} more in the JSON.",) if number > SHOWN else ()


def _hundredfold(interval: Interval) -> Interval:
    return Interval(100 * interval.value, 100 * interval.low, 100 * interval.high)
