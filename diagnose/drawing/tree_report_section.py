"""How good a tree is, as a section of a page: sentences, plots, and the same figures as tables."""

from __future__ import annotations

from diagnose.drawing.plots import Bar, intervals
from diagnose.drawing.review_page import Part, Plot, Section, Table
from diagnose.reviewing import tree_report_statements as says
from diagnose.reviewing.tree_report import TreeReport
from diagnose.walking.views import NOT_CHECKED


def tree_report_section(report: TreeReport) -> Section:
    """The section of one tree; its id keeps the plots of several trees apart."""
    parts = [
        Part(says.COVERAGE, tuple(says.coverage(report))),
        Part(says.MINUTES, tuple(says.minutes(report)), _minutes(report), (), (says.WHAT_MINUTES_ARE,)),
        Part(says.SHARES, tuple(says.shares(report)), _spread(report)),
        Part(says.CAUSES, (), (_shares(report), _costs(report)), (_causes(report),), (says.WHAT_ENDS,)),
        Part(says.CHECKS, (), _saved(report), (_checks(report),), (says.WHAT_SAVES,)),
    ]
    if report.gates:
        parts.append(Part(says.GATES, (), (), (_gates(report),), (says.WHAT_GATES,)))
    parts.append(Part(says.CASES, tuple(says.cases(report))))
    checked = () if report.tree.shipped else (NOT_CHECKED,)
    told = (*checked, f"Figures for {says.WHOSE[report.role]}.")
    return Section(report.tree.id, says.heading(report), told, tuple(parts))


def _minutes(report: TreeReport) -> tuple[Plot, ...]:
    """Each role's cost between what no route can undercut and what it is."""
    bars = [
        Bar(
            f"{role}: {side.figures.expected.cost:.0f}",
            side.figures.expected.cost,
            side.least,
            side.figures.expected.cost,
        )
        for role, side in report.sides.items()
    ]
    title = "Expected minutes and the least that any route could cost"
    caption = "The point is the route's cost; the line reaches down to what no route can undercut."
    return (_plot(report, "minutes", title, "expected minutes of a walk", bars, caption),)


def _spread(report: TreeReport) -> tuple[Plot, ...]:
    cost = report.sides[report.role].figures.expected.cost
    bars = [
        Bar("as sure as the file says", cost, *report.spread),
        Bar("half as sure", cost, *report.spread_half),
    ]
    title = "What the route costs where the shares are wrong"
    caption = "The point is the cost at the file's shares; nine of ten truths lie within the line."
    return (_plot(report, "spread", title, "expected minutes of a walk", bars, caption),)


def _shares(report: TreeReport) -> Plot:
    bars = [Bar(each.says, 100 * each.share, 100 * each.low, 100 * each.high) for each in report.causes]
    caption = "Before anything is asked; the line is where the share may lie (9 in 10)."
    return _plot(report, "shares", "How likely each cause is", "of 100 vehicles", bars, caption)


def _costs(report: TreeReport) -> Plot:
    bars = [Bar(each.says, each.minutes, each.minutes, each.minutes) for each in report.causes]
    caption = "What a walk costs on average if it is this: where these are high, a check would help most."
    return _plot(report, "costs", "Expected minutes for each cause", "expected minutes", bars, caption)


def _saved(report: TreeReport) -> tuple[Plot, ...]:
    bars = [
        Bar(each.id, each.saves, each.saves, each.saves) for each in report.checks if each.saves is not None
    ]
    if not bars:
        return ()
    caption = "How much dearer the best route that is found without it would be."
    return (_plot(report, "saved", "What each check saves", "minutes a walk", bars, caption),)


def _plot(report: TreeReport, name: str, title: str, axis: str, bars: list[Bar], caption: str) -> Plot:
    described = "; ".join(f"{each.name}: {each.value:.1f}" for each in bars)
    return Plot(intervals(f"{report.tree.id}-{name}", title, f"{described}.", axis, bars), caption)


def _causes(report: TreeReport) -> Table:
    header = ("Cause", "In 100", "Minutes", "Right", "Passed on", "Stopped", "Cases")
    rows = tuple((each.says, *says.cause_row(each)) for each in report.causes)
    return Table("Each cause, and how its walks end (of 100)", header, rows)


def _checks(report: TreeReport) -> Table:
    header = ("Check", "Costs", "Asked, of 100", "Saves", "Bits")
    rows = tuple((f"{each.asks} ({each.id})", *says.check_row(each)) for each in report.checks)
    return Table("Each check: minutes that it costs and saves", header, rows)


def _gates(report: TreeReport) -> Table:
    header = ("Cause", "In 100", "Fussell-Vesely", "Birnbaum")
    rows = tuple((each.says, *says.gate_row(each)) for each in report.gates)
    return Table("Causes that count only together with others", header, rows)
