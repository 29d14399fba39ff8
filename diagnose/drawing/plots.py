"""Small plots as SVG text, to stand in a page: axes, bars, points with intervals, lines, nothing more.

A plot has a title and a description for those who hear it, no colour that alone carries a meaning, and no
style of its own: the page's style sheet dresses its classes, so that it follows light and dark. Every text is
escaped. Sizes are chosen so that letters can be read where the plot is as wide as a phone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

WIDTH, HEIGHT = 400, 300
LEFT, RIGHT, TOP, BOTTOM = 64, 14, 30, 46
MARK = 3.5


@dataclass(frozen=True, slots=True)
class Point:
    """A value with its interval, over one place on the other axis."""

    x: float
    y: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Line:
    """Points joined by a line, with its name; `manner` is a class of the style sheet."""

    name: str
    manner: str
    points: Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Bar:
    """One named value with its interval on a common scale."""

    name: str
    value: float
    low: float
    high: float


def scatter(id: str, title: str, description: str, axes: tuple[str, str], points: Sequence[Point]) -> str:
    """Points between 0 and 100 both ways, with the diagonal on which both are alike."""
    across, up = _scale(0, 100, LEFT, WIDTH - RIGHT), _scale(0, 100, HEIGHT - BOTTOM, TOP)
    ticks = [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]
    drawn = [f'<path class="alike" d="M{across(0):.1f} {up(0):.1f}L{across(100):.1f} {up(100):.1f}"/>']
    for each in points:
        x, y = across(each.x), up(each.y)
        drawn.append(f'<path class="interval" d="M{x:.1f} {up(each.low):.1f}V{up(each.high):.1f}"/>')
        drawn.append(f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="{MARK}"/>')
    return _svg(id, title, description, HEIGHT, [*_axes(axes, across, up, ticks, ticks), *drawn])


def curves(id: str, title: str, description: str, axes: tuple[str, str], lines: Sequence[Line]) -> str:
    """Lines over a common axis, from its beginning to where they end; their names stand above."""
    xs = [x for line in lines for x, _ in line.points]
    ys = [y for line in lines for _, y in line.points]
    x_ticks = [at for at in _ticks(0, max(xs)) if at <= max(xs)]
    y_ticks = _ticks(min(ys), max(ys))
    across = _scale(0, max(xs), LEFT, WIDTH - RIGHT)
    up = _scale(y_ticks[0], y_ticks[-1], HEIGHT - BOTTOM, TOP)
    drawn = []
    for line in lines:
        way = "L".join(f"{across(x):.1f} {up(y):.1f}" for x, y in line.points)
        drawn.append(f'<path class="line {line.manner}" d="M{way}"/>')
    return _svg(
        id, title, description, HEIGHT, [*_names(lines), *_axes(axes, across, up, x_ticks, y_ticks), *drawn]
    )


def intervals(id: str, title: str, description: str, axis: str, bars: Sequence[Bar]) -> str:
    """Named values below each other on one scale, each with its interval."""
    row, top = 44, 8
    height = top + row * len(bars) + BOTTOM
    ticks = _ticks(min(each.low for each in bars), max(each.high for each in bars))
    across = _scale(ticks[0], ticks[-1], RIGHT + 6, WIDTH - RIGHT - 6)
    floor_at = height - BOTTOM
    drawn = [f'<path class="grid" d="M{across(at):.1f} {top}V{floor_at}"/>' for at in ticks]
    drawn += [_text("tick", across(at), floor_at + 17, "middle", says) for at, says in _figures(ticks)]
    drawn.append(_text("axis", WIDTH / 2, height - 8, "middle", axis))
    for place, each in enumerate(bars):
        y = top + row * place + 30
        drawn.append(_text("name", RIGHT + 6, y - 11, "start", each.name))
        drawn.append(f'<path class="interval" d="M{across(each.low):.1f} {y}H{across(each.high):.1f}"/>')
        drawn.append(f'<circle class="point" cx="{across(each.value):.1f}" cy="{y}" r="{MARK + 1}"/>')
    return _svg(id, title, description, height, drawn)


def bars(id: str, title: str, description: str, axis: str, bars: Sequence[Bar]) -> str:
    """Named amounts as bars from nought, below each other; a line across the end is the interval."""
    row, top = 26, 8
    height = top + row * len(bars) + BOTTOM
    ticks = _ticks(0, max(max(each.value, each.high) for each in bars))
    across = _scale(0, ticks[-1], LEFT, WIDTH - RIGHT)
    floor_at = height - BOTTOM
    drawn = [f'<path class="grid" d="M{across(at):.1f} {top}V{floor_at}"/>' for at in ticks]
    drawn += [_text("tick", across(at), floor_at + 17, "middle", says) for at, says in _figures(ticks)]
    drawn.append(_text("axis", (LEFT + WIDTH - RIGHT) / 2, height - 8, "middle", axis))
    for place, each in enumerate(bars):
        y = top + row * place + row / 2
        drawn.append(_text("name", LEFT - 6, y + 4.5, "end", each.name))
        drawn.append(
            f'<rect class="bar" x="{LEFT}" y="{y - 8:.1f}" '
            f'width="{across(each.value) - LEFT:.1f}" height="16"/>'
        )
        drawn.append(f'<path class="interval" d="M{across(each.low):.1f} {y:.1f}H{across(each.high):.1f}"/>')
    return _svg(id, title, description, height, drawn)


def _svg(id: str, title: str, description: str, height: float, parts: Sequence[str]) -> str:
    return (
        f'<svg class="plot" role="img" viewBox="0 0 {WIDTH} {height:.0f}" '
        f'aria-labelledby="{escape(id)}-title" aria-describedby="{escape(id)}-says">'
        f'<title id="{escape(id)}-title">{escape(title)}</title>'
        f'<desc id="{escape(id)}-says">{escape(description)}</desc>'
        f"{''.join(parts)}</svg>"
    )


def _text(manner: str, x: float, y: float, anchor: str, text: str) -> str:
    return f'<text class="{manner}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'


def _axes(
    names: tuple[str, str],
    across: Callable[[float], float],
    up: Callable[[float], float],
    x_ticks: Sequence[float],
    y_ticks: Sequence[float],
) -> list[str]:
    """Both axes with their figures, and a thin line for each figure."""
    floor_at = HEIGHT - BOTTOM
    parts = [f'<path class="grid" d="M{across(at):.1f} {TOP}V{floor_at}"/>' for at in x_ticks]
    parts += [f'<path class="grid" d="M{LEFT} {up(at):.1f}H{WIDTH - RIGHT}"/>' for at in y_ticks]
    parts += [_text("tick", across(at), floor_at + 17, "middle", says) for at, says in _figures(x_ticks)]
    parts += [_text("tick", LEFT - 6, up(at) + 4.5, "end", says) for at, says in _figures(y_ticks)]
    parts.append(_text("axis", (LEFT + WIDTH - RIGHT) / 2, HEIGHT - 8, "middle", names[0]))
    parts.append(
        f'<text class="axis" transform="translate(14 {(TOP + floor_at) / 2:.0f}) rotate(-90)" '
        f'text-anchor="middle">{escape(names[1])}</text>'
    )
    return parts


def _names(lines: Sequence[Line]) -> list[str]:
    """Above the plot, side by side: a piece of each line and its name."""
    room = (WIDTH - LEFT - RIGHT) / len(lines)
    parts = []
    for place, line in enumerate(lines):
        x = LEFT + room * place
        parts.append(f'<path class="line {line.manner}" d="M{x:.1f} 12H{x + 26:.1f}"/>')
        parts.append(_text(f"name {line.manner}", x + 32, 16.5, "start", line.name))
    return parts


def _scale(low: float, high: float, start: float, end: float) -> Callable[[float], float]:
    """From values to places."""
    return lambda value: start + (value - low) / (high - low) * (end - start)


def _ticks(low: float, high: float) -> list[float]:
    """Two to seven round figures that hold both ends; what hardly varies is not drawn as if it did.

    >>> _ticks(0.48, 0.83)
    [0.4, 0.5, 0.6, 0.7, 0.8, 0.9]
    >>> _ticks(0, 625)
    [0.0, 200.0, 400.0, 600.0, 800.0]
    """
    reach = max(high - low, max(abs(low), abs(high), 1e-3) / 5)
    size = 10.0 ** floor(log10(reach / 4))
    step = next(size * times for times in (1, 2, 2.5, 5, 10) if reach / (size * times) <= 5)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [round(step * at, 10) for at in range(first, max(last, first + 1) + 1)]


def _figures(ticks: Sequence[float]) -> list[tuple[float, str]]:
    """The figures at an axis, all with as many places as one of them needs.

    >>> _figures([0.5, 0.55]), _figures([0.0, 12000.0])
    ([(0.5, '0.50'), (0.55, '0.55')], [(0.0, '0'), (12000.0, '12,000')])
    """
    places = max(len(f"{at:.6f}".rstrip("0").partition(".")[2]) for at in ticks)
    return [(at, f"{at:,.{places}f}") for at in ticks]
