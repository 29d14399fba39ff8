"""Scores of the ranking as a section of the page on past cases."""

from __future__ import annotations

from diagnose.drawing.plots import Bar, Line, Point, curves, intervals, scatter
from diagnose.drawing.review_page import Part, Plot, Section, Table
from diagnose.reasoning.scores import Bin
from diagnose.reviewing import score_statements as says
from diagnose.reviewing.figures import Course, Figures, Minutes
from diagnose.reviewing.scoring import Review, TreeScores


def score_section(review: Review) -> Section:
    """The section; where nothing could be scored it says so."""
    parts: list[Part] = []
    if review.overall is not None:
        parts = [
            _good(review.overall),
            _learning(review.overall, review.course),
            _calibration(review.overall),
            _minutes(review.overall),
            _trees(review.trees),
        ]
    if review.left_out:
        parts.append(Part("Left out", tuple(says.left_out(each) for each in review.left_out)))
    return Section("scores", "How good the ranking was", tuple(says.basis(review)), tuple(parts))


def _good(figures: Figures) -> Part:
    learned, by_file = figures.learned, figures.by_file
    rows = (
        ("In front, of 100", says.in_100(learned.top_1), says.in_100(by_file.top_1)),
        ("Among the first three, of 100", says.in_100(learned.top_3), says.in_100(by_file.top_3)),
        ("Log loss (lower is better)", says.figure(learned.log_loss), says.figure(by_file.log_loss)),
        ("Brier score (lower is better)", says.figure(learned.brier), says.figure(by_file.brier)),
    )
    table = Table("The true cause in the ranking", ("", "With past cases", "By the files alone"), rows)
    return Part("In figures", tuple(says.rates(figures)), (), (table,), (says.INTERVALS,))


def _learning(figures: Figures, course: tuple[Course, ...]) -> Part:
    plots: tuple[Plot, ...] = ()
    if len(course) > 1:
        last = course[-1]
        described = (
            f"After {last.cases:,} cases the mean log loss is {last.learned:.2f} with past cases and "
            f"{last.by_file:.2f} by the files alone."
        )
        lines = [
            Line("by the files alone", "file", [(each.cases, each.by_file) for each in course]),
            Line("with past cases", "learned", [(each.cases, each.learned) for each in course]),
        ]
        svg = curves(
            "course", "Log loss as cases came in", described, ("cases so far", "mean log loss"), lines
        )
        plots = (
            Plot(
                svg,
                "The mean log loss of all cases so far, in the order in which they were confirmed. Lower is "
                "better; where the two lines part, learning made the difference.",
            ),
        )
    return Part("Did learning help?", (says.learning(figures.learning),), plots)


def _calibration(figures: Figures) -> Part:
    bins = figures.calibration
    if not bins:
        return Part("Can a share be taken at its word?", tuple(says.calibration(figures)))
    points = [_point(each) for each in bins]
    described = "; ".join(f"said {point.x:.0f}, right {point.y:.0f}" for point in points)
    svg = scatter(
        "calibration",
        "What was said against how often it was right",
        f"In 100 cases: {described}.",
        ("said, in 100", "right, in 100"),
        points,
    )
    plot = Plot(
        svg,
        "Each point is a tenth of the cases. On the dotted line a share is right just as often as it says; "
        "above it, more often.",
    )
    table = Table(
        "In 100 cases",
        ("Said", "Right", "Between", "Cases"),
        tuple(says.bin_row(each) for each in bins),
        words=0,
    )
    return Part("Can a share be taken at its word?", tuple(says.calibration(figures)), (plot,), (table,))


def _point(each: Bin) -> Point:
    return Point(100 * each.said, 100 * each.hit, 100 * each.low, 100 * each.high)


def _minutes(figures: Figures) -> Part:
    found = figures.minutes
    if found is None:
        return Part("Minutes", tuple(says.minutes(figures)))
    plots = (_minutes_plot(found),) if found.walked.cases > 1 else ()
    return Part("Minutes", tuple(says.minutes(figures)), plots, (), (says.WHAT_MINUTES_ARE,))


def _minutes_plot(found: Minutes) -> Plot:
    named = {
        "expected by the files alone": found.expected_by_file,
        "expected with past cases": found.expected,
        "walked": found.walked,
    }
    bars = [Bar(name, each.value, each.low, each.high) for name, each in named.items()]
    described = "; ".join(f"{name} {says.amount(each)}" for name, each in named.items())
    svg = intervals("minutes", "Minutes expected and walked", f"{described}.", "minutes of one walk", bars)
    return Plot(svg, "The mean of all walks, each with its interval.")


def _trees(trees: tuple[TreeScores, ...]) -> Part:
    rows = tuple(
        (
            f"{each.says} ({each.symptom})",
            says.VERDICT_IN_A_WORD[each.figures.learning.verdict],
            f"{each.figures.cases:,}",
            says.in_100(each.figures.learned.top_1),
            says.in_100(each.figures.learned.top_3),
            f"{each.figures.learned.log_loss.value:.2f}",
            f"{each.figures.by_file.log_loss.value:.2f}",
        )
        for each in trees
    )
    header = (
        "Symptom",
        "Learning",
        "Cases",
        "In front, of 100",
        "First three, of 100",
        "Log loss",
        "By the file alone",
    )
    return Part("By symptom", (), (), (Table("The most cases first", header, rows, words=2),))
