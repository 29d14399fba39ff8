"""Trends as a part of a page of HTML: what they say, a bar chart, and the same figures as a table.

Every text is escaped by the template engine. A chart is drawn in the page itself, is named and described for
who cannot see it, and shows nothing that its table does not have.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import jinja2
from markupsafe import Markup

from diagnose.reviewing import trends_statements as says
from diagnose.reviewing.trends_inference import Interval, share
from diagnose.reviewing.trends_told import Course, Courses, Trends

BARS = 12
"""Rows of a chart and of its table; the rest is in the JSON."""
_WIDTH, _ROW, _LEFT, _RIGHT = 480, 22, 64, 12

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: where it and the ends of its interval lie, in the units of the drawing."""

    label: str
    y: float
    length: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Chart:
    """Bars from the left, each with a line for its interval, and what they tell in words."""

    id: str
    title: str
    description: str
    bars: tuple[Bar, ...]
    most: str
    """What the right end stands for."""

    @property
    def height(self) -> int:
        """Of the drawing."""
        return _ROW * (len(self.bars) + 1)


@dataclass(frozen=True, slots=True)
class Block:
    """One heading with its sentences, charts and table."""

    title: str
    sentences: tuple[str, ...]
    charts: tuple[Chart, ...] = ()
    header: Row = ()
    rows: tuple[Row, ...] = ()
    more: int = 0


def trends_section(trends: Trends) -> Markup:
    """The part of a page; the page brings the document around it and its style sheet."""
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    template = environment.from_string(_TEMPLATE)
    notes = (says.MANY, says.SOURCES, says.NOT_CERTAIN)
    text = template.render(
        basis=says.basis(trends), blocks=blocks(trends), notes=notes, left=_LEFT, width=_WIDTH
    )
    return Markup(text)  # noqa: S704 - the engine has escaped it


def blocks(trends: Trends) -> tuple[Block, ...]:
    """Everything below the first lines; nothing where no case was counted."""
    if not trends.basis.cases:
        return ()
    return (
        _returns(trends),
        *_vehicles(trends),
        *_courses("Over the years", trends.years, "years"),
        _months(trends),
        *_courses("By months laid up", trends.laid_up, "laid-up"),
        _prevention(trends),
    )


def _returns(trends: Trends) -> Block:
    within = says.within(trends.asked.months)
    came = [each for each in trends.returns if each.counts.came_back]
    chart = _chart(
        "returns",
        f"Vehicles in which a cause came back within {within}, in 100",
        [(str(place), _in_100(each.share)) for place, each in enumerate(came[:BARS], 1)],
    )
    rows = [
        (
            str(place),
            f"{each.counts.came_back:,} of {each.counts.watched:,}",
            says.in_100(each.share),
            f"{each.says} ({each.counts.symptom})",
            "stands out" if says.stands_out(each.tested) else "",
        )
        for place, each in enumerate(came[:BARS], 1)
    ]
    return Block(
        f"What comes back within {within}",
        tuple(says.returns(trends)),
        chart,
        ("No.", "Vehicles", "Interval", "Cause", ""),
        tuple(rows),
        len(came) - len(rows),
    )


def _vehicles(trends: Trends) -> tuple[Block, ...]:
    found = trends.vehicles
    if found is None:
        return ()
    said = says.vehicles(trends)
    rows = [
        (says.named(each), str(each.cases), f"{words} ({each.symptom})") for each, words in found.again[:BARS]
    ]
    return (
        Block("Vehicles with more than their share", tuple(said[:BARS]), more=max(0, len(said) - BARS)),
        Block(
            "The same cause again and again",
            () if rows else ("No vehicle had one cause on two days.",),
            (),
            ("Vehicle", "Days", "Cause"),
            tuple(rows),
            len(found.again) - len(rows),
        ),
    )


def _courses(title: str, found: Courses, scale: says.Scale) -> tuple[Block, ...]:
    said = says.courses(found, scale)
    marked = [each for each in found.causes if each.tested.stands_out]
    if not marked:
        return (Block(title, tuple(said)),)
    return tuple(
        _course(title, sentence, each, found, f"{scale}-{place}")
        for place, (sentence, each) in enumerate(list(zip(said, marked, strict=True))[:BARS], 1)
    )


def _course(title: str, sentence: str, each: Course, found: Courses, id: str) -> Block:
    steps = list(zip(found.steps, each.cases, found.of, strict=True))
    shares = [(step, share(number, of)) for step, number, of in steps]
    bars = [(step, _in_100(one)) for step, one in shares if isfinite(one.value)]
    chart = _chart(id, f"{each.says}: its share of all cases, in 100", bars)
    rows = [
        (step, f"{number:,}", f"{of:,}", says.in_100(one))
        for (step, number, of), (_, one) in zip(steps, shares, strict=True)
    ]
    return Block(title, (sentence,), chart, ("", "Cases", "Of", "Interval"), tuple(rows))


def _months(trends: Trends) -> Block:
    found = trends.months
    names = [name[:3] for name in says.MONTHS]
    chart = _chart("months", "Cases by month of the year", list(zip(names, found.all, strict=True)))
    rows = [
        (name, f"{each.value:,.0f}", f"between {each.low:,.0f} and {each.high:,.0f}")
        for name, each in zip(says.MONTHS, found.all, strict=True)
    ]
    return Block(
        "Month of the year", tuple(says.months(found)), chart, ("Month", "Cases", "Interval"), tuple(rows)
    )


def _prevention(trends: Trends) -> Block:
    first = trends.prevention[:BARS]
    hours = [
        Interval(each.minutes.value / 60, each.minutes.low / 60, each.minutes.high / 60) for each in first
    ]
    chart = _chart(
        "prevention",
        "Hours of work that each would have saved",
        [(str(place), each) for place, each in enumerate(hours, 1)],
    )
    rows = [
        (
            str(place),
            says.work(each.minutes.value),
            says.between_hours(each.minutes),
            f"{each.cases:,}",
            each.text,
        )
        for place, each in enumerate(first, 1)
    ]
    return Block(
        "What would have saved most",
        tuple(says.prevention(trends)),
        chart,
        ("No.", "Work", "Interval", "Cases", "Prevention"),
        tuple(rows),
        len(trends.prevention) - len(rows),
    )


def _chart(id: str, title: str, bars: Sequence[tuple[str, Interval]]) -> tuple[Chart, ...]:
    """A chart of some bars; none of none, or where all of them are nought."""
    most = max((each.high for _, each in bars), default=0.0)
    if most <= 0:
        return ()
    scale = (_WIDTH - _LEFT - _RIGHT) / most
    drawn = tuple(
        Bar(label, place * _ROW, each.value * scale, each.low * scale, each.high * scale)
        for place, (label, each) in enumerate(bars)
    )
    told = "; ".join(f"{label}: {each.value:,.0f}" for label, each in bars)
    return (Chart(f"trends-{id}", title, f"{told}. The table has the same figures.", drawn, f"{most:,.0f}"),)


def _in_100(interval: Interval) -> Interval:
    return Interval(100 * interval.value, 100 * interval.low, 100 * interval.high)


_TEMPLATE = """\
<section id="trends">
<h2>Trends</h2>
{% for sentence in basis %}
<p>{{ sentence }}</p>
{% endfor %}
{% for block in blocks %}
<h3>{{ block.title }}</h3>
{% for sentence in block.sentences %}
<p>{{ sentence }}</p>
{% endfor %}
{% for chart in block.charts %}
<svg class="bars" role="img" viewBox="0 0 {{ width }} {{ chart.height }}" width="{{ width }}"\
 aria-labelledby="{{ chart.id }}-title {{ chart.id }}-description">
<title id="{{ chart.id }}-title">{{ chart.title }}</title>
<desc id="{{ chart.id }}-description">{{ chart.description }}</desc>
{% for bar in chart.bars %}
<text x="{{ left - 6 }}" y="{{ bar.y + 15 }}" text-anchor="end" font-size="12" fill="currentColor">\
{{ bar.label }}</text>
<rect x="{{ left }}" y="{{ bar.y + 4 }}" width="{{ '%.1f' % bar.length }}" height="14" fill="#5b8db8"/>
<path d="M{{ '%.1f' % (left + bar.low) }} {{ bar.y + 11 }}H{{ '%.1f' % (left + bar.high) }}"\
 stroke="currentColor" stroke-width="2"/>
{% endfor %}
<text x="{{ left }}" y="{{ chart.height - 6 }}" font-size="12" fill="currentColor">0</text>
<text x="{{ width - 12 }}" y="{{ chart.height - 6 }}" text-anchor="end" font-size="12" fill="currentColor">\
{{ chart.most }}</text>
</svg>
{% endfor %}
{% if block.rows %}
<table>
<thead><tr>{% for head in block.header %}<th scope="col">{{ head }}</th>{% endfor %}</tr></thead>
<tbody>
{% for row in block.rows %}
<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>
{% endfor %}
</tbody>
</table>
{% endif %}
{% if block.more > 0 %}
<p>{{ block.more }} more in the JSON.</p>
{% endif %}
{% endfor %}
{% if blocks %}
{% for note in notes %}
<p class="note">{{ note }}</p>
{% endfor %}
{% endif %}
</section>
"""
