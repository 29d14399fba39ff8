"""What holds for every gauge of the register, and how a gauge reads what it is given."""

from __future__ import annotations

import math
import re

import pytest

from diagnose.gauges.gauge import (
    Choice,
    Gauge,
    MissingReading,
    NotPossible,
    Outcome,
    Quantity,
    Words,
    within,
)
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import UnknownGauge, gauge, names
from diagnose.gauges.units import kind_of

GAUGES = [gauge(name) for name in names()]
QUANTITIES = [(own, asked) for own in GAUGES for asked in own.asks if isinstance(asked, Quantity)]
QUANTITY_NAMES = [f"{own.name} {asked.name}" for own, asked in QUANTITIES]

LEVEL = Quantity(
    "level",
    "water in the tank",
    "l",
    "40 l",
    doubt=2.0,
    doubt_share=0.05,
    refuse=within(0, 500, below="a tank holds no less than nothing", above="no such tank is built"),
)
WHOSE = Choice("whose", "whose tank", {"fresh": "fresh water", "waste": "waste water"}, default="fresh")
HALF = Gauge(
    "half",
    "Half of the water",
    (LEVEL, WHOSE),
    ("Look.",),
    "level / 2",
    "arithmetic",
    lambda level, whose: Outcome(Measured(level.value / 2, level.uncertainty / 2), "l", f"Half the {whose}."),
    (("40 l",),),
)


def arguments(own):
    """What the first example gives for each required input."""
    wanted = [asked.name for asked in own.asks if asked.required]
    return dict(zip(wanted, own.examples[0], strict=False))


@pytest.mark.parametrize("own", GAUGES, ids=names())
def test_every_gauge_is_described_in_full(own):
    assert re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", own.name)
    assert own.title[0].isupper()
    assert not own.title.endswith(".")
    assert own.how
    assert own.formula
    assert own.source
    assert own.examples
    required = [asked.required for asked in own.asks]
    assert required == sorted(required, reverse=True), "what is required comes first"
    assert len({asked.name for asked in own.asks}) == len(own.asks)


@pytest.mark.parametrize("own", GAUGES, ids=names())
def test_every_gauge_answers_its_first_example(own):
    given, outcome = own.outcome(arguments(own))
    assert set(given) == {asked.name for asked in own.asks}
    assert math.isfinite(outcome.measured.value)
    assert math.isfinite(outcome.measured.uncertainty)
    assert outcome.measured.uncertainty >= 0
    assert outcome.meaning[-1] in ".!?"
    assert "\n" not in outcome.meaning


@pytest.mark.parametrize("own", GAUGES, ids=names())
def test_no_gauge_says_that_something_is_safe(own):
    _, outcome = own.outcome(arguments(own))
    said = " ".join((outcome.meaning, *outcome.notes, own.title))
    assert not re.search(r"\b(is|are) (now )?safe\b", said)


@pytest.mark.parametrize("own", GAUGES, ids=names())
def test_no_gauge_has_mains_or_gas_parts_measured_or_opened(own):
    how = " ".join(own.how).casefold()
    assert not re.search(r"\b(230|240) ?v\b|consumer unit", how)
    assert not re.search(r"socket", how) or re.search(r"keep away from sockets", how)
    assert not re.search(r"\b(unscrew|undo|loosen|dismantle|pressure tester|manometer)\b", how)


@pytest.mark.parametrize(("own", "asked"), QUANTITIES, ids=QUANTITY_NAMES)
def test_every_quantity_takes_its_own_example_and_a_unit_of_the_table(own, asked):
    assert kind_of(asked.unit)
    found = asked.read(asked.example)
    assert math.isfinite(found.value)
    assert found.uncertainty >= 0
    assert bool(asked.doubt or asked.doubt_share) == bool(asked.doubt_from), "a doubt says where it is from"


@pytest.mark.parametrize(("own", "asked"), QUANTITIES, ids=QUANTITY_NAMES)
def test_every_quantity_refuses_what_cannot_be(own, asked):
    for absurd in ("-1000000", "1000000000"):
        with pytest.raises(NotPossible) as refused:
            asked.read(absurd)
        assert re.match(rf"{asked.name}: [-+.e\d]+ ?\S* cannot be: [^A-Z]?\S", str(refused.value))


@pytest.mark.parametrize(("own", "asked"), QUANTITIES, ids=QUANTITY_NAMES)
def test_every_quantity_refuses_a_unit_of_something_else_and_shows_its_own(own, asked):
    wrong = "bar" if kind_of(asked.unit) != "pressure" else "V"
    with pytest.raises(BadQuantity) as refused:
        asked.read(f"5 {wrong}")
    assert asked.example in str(refused.value)
    assert str(refused.value).startswith(f"{asked.name}: ")


def test_the_usual_doubt_is_taken_where_none_is_written():
    assert LEVEL.read("40 l") == Measured(40.0, math.hypot(2.0, 2.0))
    assert LEVEL.read("40 ± 1 l") == Measured(40.0, 1.0)


def test_a_value_that_cannot_be_is_refused_with_the_reason():
    with pytest.raises(NotPossible, match=r"^level: -3 l cannot be: a tank holds no less than nothing\.$"):
        LEVEL.read("-3 l")
    with pytest.raises(NotPossible, match="no such tank is built"):
        LEVEL.read("501 l")
    assert LEVEL.read("0 l").value == 0
    assert LEVEL.read("500 l").value == 500


def test_a_choice_takes_its_word_or_its_first_letters():
    assert WHOSE.read("waste") == "waste"
    assert WHOSE.read(" Wa ") == "waste"
    for text in ("", "x", "grey"):
        with pytest.raises(BadQuantity, match="is none of fresh, waste"):
            WHOSE.read(text)


def test_words_are_read_by_their_own_gauge():
    assert Words("code", "a code", "1316", parse=lambda text: text[::-1]).read("abc") == "cba"


def test_defaults_are_filled_in_and_what_is_missing_is_named():
    given, outcome = HALF.outcome({"level": "40 ± 2 l"})
    assert given == {"level": Measured(40.0, 2.0), "whose": "fresh"}
    assert (outcome.in_words(), outcome.meaning) == ("20.0 ± 1.0 l", "Half the fresh.")
    with pytest.raises(MissingReading, match=r'^half needs level \(water in the tank\).*gauge half "40 l"$'):
        HALF.outcome({})


def test_an_unknown_gauge_is_refused_with_the_nearest():
    with pytest.raises(UnknownGauge, match="battery-charge"):
        gauge("batterycharge")
