"""Where a chart's steps stand, on routes and with sizes made at random."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from types import SimpleNamespace

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.drawing.route_chart import route_chart
from diagnose.drawing.route_layout import DROP, Cutting, Room
from diagnose.drawing.route_sheets import APART, band_height, on_sheets, pages_by_step
from diagnose.drawing.route_sizes import ENTRY, Reach
from tests.drawing.test_route_chart import routes


class MadeSizes:
    """Sizes that depend on the numbers alone."""

    def __init__(self, chart, seed):
        self.texts, self.seed = SimpleNamespace(chart=chart), seed

    def step(self, step):
        return Reach(15 + step.at * self.seed % 7, 60 + step.at * self.seed % 190, 30 + step.at * 5 % 40)

    def line(self, step, line):
        return Reach(3, 30 + len(line.ways) * self.seed % 90, 24 + 12 * len(line.ways))

    def target(self, line):
        return Reach(17, 40 + len(line.ways) * self.seed % 70, 40)


@st.composite
def charts(draw):
    graph, tree = draw(routes())
    chart = route_chart(graph, tree, draw(st.floats(0.0, 0.2)))
    return chart, MadeSizes(chart, draw(st.integers(1, 200)))


def boxes_of(piece, sizes, chart):
    """(what, left, top, right, bottom) of every symbol and of all that is written along lines; downwards."""
    steps, tops = chart.by_node(), [ENTRY]
    for height in piece.heights:
        tops.append(tops[-1] + height + DROP)

    def box(what, reach, axis, rank):
        assert reach.height <= piece.heights[rank]
        return (what, axis - reach.left, tops[rank], axis + reach.right, tops[rank] + reach.height)

    def under(placed, axis, rank):
        step = steps[placed.at]
        yield box(("step", placed.at), sizes.step(step), axis, rank)
        for each in placed.exits:
            across, below = axis + each.aside, rank + 2 * each.row
            yield box(("line", placed.at, each.line.to), sizes.line(step, each.line), across, below + 1)
            if each.beneath is None:
                yield box(("end", placed.at, each.line.to), sizes.target(each.line), across, below + 2)
            else:
                yield from under(each.beneath, across, below + 2)

    return list(under(piece.placed, 0.0, 0))


@settings(max_examples=40)
@given(charts(), st.floats(300, 900))
def test_no_two_things_stand_in_the_same_place(chart_and_sizes, widest):
    chart, sizes = chart_and_sizes
    piece, _ = Cutting(sizes, widest).grown(chart.steps[0].at, Room(900, 5000))
    for (_, left, top, right, bottom), other in combinations(boxes_of(piece, sizes, chart), 2):
        apart = right <= other[1] or other[3] <= left or bottom <= other[2] or other[4] <= top
        assert apart


@settings(max_examples=40)
@given(charts(), st.floats(300, 900))
def test_a_piece_is_as_large_as_it_says(chart_and_sizes, widest):
    chart, sizes = chart_and_sizes
    piece, _ = Cutting(sizes, widest).grown(chart.steps[0].at, Room(900, 5000))
    boxes = boxes_of(piece, sizes, chart)
    assert min(box[1] for box in boxes) >= -piece.left - 1e-9
    assert max(box[3] for box in boxes) <= piece.width - piece.left + 1e-9
    assert max(box[4] for box in boxes) <= piece.height + 1e-9


@settings(max_examples=40)
@given(charts(), st.floats(300, 900), st.floats(300, 900))
def test_each_step_and_each_line_stands_on_one_sheet_and_pieces_fit(chart_and_sizes, width, height):
    chart, sizes = chart_and_sizes
    rooms = [Room(width, height), Room(height, width)]
    sheets = on_sheets(Cutting(sizes, min(width, height)), chart.steps[0].at, rooms)
    pieces = [piece for sheet in sheets for band in sheet.bands for piece in band]
    placed = Counter(at for piece in pieces for at in piece.placed.steps())
    assert placed == Counter(step.at for step in chart.steps)
    drawn = Counter(box[0] for piece in pieces for box in boxes_of(piece, sizes, chart))
    assert all(drawn["line", step.at, line.to] == 1 for step in chart.steps for line in step.lines)
    assert dict(pages_by_step(sheets)).keys() == placed.keys()
    for sheet in sheets:
        several = [piece for band in sheet.bands for piece in band][1:]
        assert all(sheet.room.holds(piece) for piece in several)
        if sheet.fits:
            for band in sheet.bands:
                assert sum(piece.width + APART for piece in band) - APART <= sheet.room.width + 1e-9
            used = sum(band_height(band) + APART for band in sheet.bands) - APART
            assert used <= sheet.room.height + 1e-9


@settings(max_examples=40)
@given(charts())
def test_the_main_line_goes_straight_down(chart_and_sizes):
    chart, sizes = chart_and_sizes
    piece, _ = Cutting(sizes, 900).grown(chart.steps[0].at, Room(5000, 5000))
    placed, main = piece.placed, [piece.placed.at]
    while below := [each.beneath for each in placed.exits if each.beneath is not None and each.aside == 0.0]:
        (placed,) = below
        main.append(placed.at)
    assert main == [step.at for step in chart.steps][: len(main)]


def test_very_many_ends_stand_in_rows_below_each_other_and_the_main_line_goes_past_them():
    ways = [[(0, 0.5)], [(0, 1.0)], []]
    lines = [SimpleNamespace(ways=way, to=to, share=0.1) for to, way in enumerate([[1]] * 14, 100)]
    main = SimpleNamespace(ways=ways[0], to=1, share=0.5)
    first = SimpleNamespace(at=0, number=1, nodes=(0,), lines=(*lines[:5], main, *lines[5:]))
    second = SimpleNamespace(at=1, number=2, nodes=(1,), lines=(lines[0],))
    chart = SimpleNamespace(steps=(first, second), parents={1: 0}, by_node=lambda: {0: first, 1: second})
    sizes = MadeSizes(chart, 30)
    piece, refused = Cutting(sizes, 500).grown(0, Room(500, 1000))
    assert refused == []
    assert piece.width <= 500
    rows = {each.row for each in piece.placed.exits}
    assert len(rows) > 1
    (down,) = (each for each in piece.placed.exits if each.beneath is not None)
    assert (down.aside, down.row) == (0.0, max(rows))
    assert all(each.aside > 0 for each in piece.placed.exits if each.row < max(rows))
