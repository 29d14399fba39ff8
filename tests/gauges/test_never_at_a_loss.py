"""Whatever is typed, a gauge gives a finite figure with its doubt, or refuses in a sentence."""

from __future__ import annotations

from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.gauges.gauge import Choice, NotPossible, Quantity
from diagnose.gauges.register import SUBJECTS, gauge
from diagnose.terms import WrongUsage

SOME = [name for each in ("gas", "climate", "timber", "water", "tyres", "licence") for name in SUBJECTS[each]]
CODES = {"code": "1316", "today": "2026-03-25", "index": "109/107", "first-licence": "1994"}
VALUES = st.one_of(
    st.floats(-60, 120), st.floats(0, 10), st.floats(1e-4, 1e4), st.sampled_from([0.0, 1.0, 100.0])
)
DOUBTS = st.one_of(st.none(), st.just(0.0), st.floats(1e-6, 10), st.floats(10, 1e8))


def typed(draw, asked):
    """Some text for what is asked, or None where it is left out."""
    if not asked.required and draw(st.booleans()):
        return None
    if isinstance(asked, Choice):
        return draw(st.sampled_from(sorted(asked.options)))
    if isinstance(asked, Quantity) and draw(st.booleans()):
        return asked.example
    if isinstance(asked, Quantity):
        value, doubt = draw(VALUES), draw(DOUBTS)
        return f"{value:.6f} {asked.unit}" + ("" if doubt is None else f" ± {doubt:.6f} {asked.unit}")
    return CODES[asked.name]


@pytest.mark.parametrize("name", SOME)
def test_any_reading_gives_a_figure_or_a_refusal(name):
    outcomes = []

    @settings(max_examples=60, deadline=None)
    @given(st.data())
    def tried(data):
        texts = {asked.name: typed(data.draw, asked) for asked in gauge(name).asks}
        try:
            found = gauge(name).outcome({word: text for word, text in texts.items() if text is not None})[1]
        except WrongUsage:
            return
        figures = (found.measured, *(each.measured for each in found.also))
        assert all(isfinite(each.value) and isfinite(each.uncertainty) for each in figures)
        assert all(each.uncertainty >= 0 for each in figures)
        outcomes.append(found)

    tried()
    assert outcomes  # it was not refused each time


@pytest.mark.parametrize(
    ("name", "texts", "names"),
    [
        ("dew-point", {"temperature": "10 ± 500 °C", "humidity": "60 %"}, "temperature: ± 500 °C"),
        ("tank-dose", {"volume": "80 ± 9999 l", "dose": "1", "heater": "bypassed"}, "volume: ± 9999 l"),
    ],
)
def test_a_doubt_that_reaches_beyond_what_can_be_on_both_sides_is_no_reading(name, texts, names):
    with pytest.raises(NotPossible, match=f"{names} is so wide that it tells nothing; write it like"):
        gauge(name).outcome(texts)


def test_a_doubt_over_one_edge_alone_is_taken():
    assert gauge("dew-point").outcome({"temperature": "10 °C", "humidity": "99 ± 5 %"})[1].measured.value < 10
