"""Plots are whole XML, say in words what they show, and put every value where its axis says."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.drawing import plots
from diagnose.drawing.plots import Bar, Line, Point, curves, intervals, scatter

SVG = "{http://www.w3.org/2000/svg}"


def drawn(text):
    """The plot as a parser of XML reads it."""
    return ElementTree.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def ticks_of(plot, anchor):
    """Figure -> place of the ticks of one axis: `middle` those below, `end` those at the left."""
    at = "x" if anchor == "middle" else "y"
    return {
        float(each.text.replace(",", "")): float(each.get(at))
        for each in plot.iter(f"{SVG}text")
        if each.get("class") == "tick" and each.get("text-anchor") == anchor
    }


def place(ticks, value):
    """Where a value lies by its axis, from the first and the last tick."""
    (low, start), (high, end) = min(ticks.items()), max(ticks.items())
    return start + (value - low) / (high - low) * (end - start)


def test_points_and_their_intervals_lie_where_the_axes_say():
    points = [Point(30, 41, 20, 60), Point(95, 100, 88, 100)]
    plot = drawn(scatter("c", "Title", "Says", ("said", "right"), points))
    across, up = ticks_of(plot, "middle"), ticks_of(plot, "end")
    circles = [(float(each.get("cx")), float(each.get("cy"))) for each in plot.iter(f"{SVG}circle")]
    # Figures stand 4.5 below the line that they name, so that they are level with it.
    wanted = [(place(across, each.x), place(up, each.y) - 4.5) for each in points]
    assert circles == [pytest.approx(each, abs=0.1) for each in wanted]
    ways = [each.get("d") for each in plot.iter(f"{SVG}path") if each.get("class") == "interval"]
    low, high = place(up, 20) - 4.5, place(up, 60) - 4.5
    x, rest = ways[0].removeprefix("M").split(" ")
    start, end = rest.split("V")
    assert [float(x), float(start), float(end)] == pytest.approx([wanted[0][0], low, high], abs=0.1)


def test_curves_run_from_their_first_to_their_last_point():
    lines = [
        Line("one", "learned", [(10, 0.9), (300, 0.62)]),
        Line("two", "file", [(10, 0.95), (300, 0.8)]),
    ]
    plot = drawn(curves("c", "Title", "Says", ("cases", "loss"), lines))
    across, up = ticks_of(plot, "middle"), ticks_of(plot, "end")
    way = next(
        each.get("d")
        for each in plot.iter(f"{SVG}path")
        if each.get("class") == "line learned" and "L" in each.get("d")
    )
    ends = [tuple(map(float, each.split(" "))) for each in way.removeprefix("M").split("L")]
    wanted = [(place(across, x), place(up, y) - 4.5) for x, y in lines[0].points]
    assert ends == [pytest.approx(each, abs=0.1) for each in wanted]
    names = {each.text: each.get("class") for each in plot.iter(f"{SVG}text") if "name" in each.get("class")}
    assert names == {"one": "name learned", "two": "name file"}


def test_intervals_lie_on_one_scale():
    bars = [Bar("expected", 50, 40, 60), Bar("walked", 75, 70, 90)]
    plot = drawn(intervals("m", "Title", "Says", "minutes", bars))
    across = ticks_of(plot, "middle")
    at = [float(each.get("cx")) for each in plot.iter(f"{SVG}circle")]
    assert at == pytest.approx([place(across, 50), place(across, 75)], abs=0.1)


@pytest.mark.parametrize(
    "plot",
    [
        scatter("<i>", "<b>T</b>", 'a "quote" & <script>', ("<x>", "&y"), [Point(1, 2, 0, 3)]),
        curves(
            "<i>", "<b>T</b>", 'a "quote" & <script>', ("<x>", "&y"), [Line("<n>", "file", [(1, 2), (3, 4)])]
        ),
        intervals("<i>", "<b>T</b>", 'a "quote" & <script>', "<x>", [Bar("<n>", 2, 1, 3)]),
    ],
)
def test_every_text_is_a_text_and_the_plot_is_told_in_words(plot):
    told = drawn(plot)
    assert told.get("role") == "img"
    title, says = told.find(f"{SVG}title"), told.find(f"{SVG}desc")
    assert (title.text, says.text) == ("<b>T</b>", 'a "quote" & <script>')
    assert (told.get("aria-labelledby"), told.get("aria-describedby")) == (title.get("id"), says.get("id"))
    assert {each.tag.removeprefix(SVG) for each in told.iter()} <= {
        "svg",
        "title",
        "desc",
        "path",
        "circle",
        "text",
    }
    assert "<x>" in [each.text for each in told.iter(f"{SVG}text")]


@given(st.floats(-1e6, 1e6), st.floats(0, 1e6))
def test_ticks_hold_both_ends_and_are_few(low, reach):
    ticks = plots._ticks(low, low + reach)
    step = ticks[1] - ticks[0]
    assert ticks[0] <= low + 1e-6 * step
    assert ticks[-1] >= low + reach - 1e-6 * step
    assert 2 <= len(ticks) <= 7


def test_the_figures_of_an_axis_have_as_many_places_each():
    assert plots._figures([0.5, 0.55]) == [(0.5, "0.50"), (0.55, "0.55")]
    assert plots._figures([0.0, 2000.0]) == [(0.0, "0"), (2000.0, "2,000")]
