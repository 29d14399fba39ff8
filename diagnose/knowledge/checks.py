"""Reading one check: its answers or its reading with bands, and what it expects to see.

The same reading serves the checks of a tree, those of the common files, and facts.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from diagnose.knowledge.fields import Limits
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Scalar, what_it_is
from diagnose.terms import NOT_LISTED, Answer, Band, Check, Reading

OTHERWISE = "otherwise"

# Renooij & Witteman, "Talking probabilities", Int. J. Approx. Reasoning 22 (1999); both ends are softened.
PROBABILITY_WORDS: Mapping[str, float] = {
    "almost certain": 0.98,
    "probable": 0.85,
    "expected": 0.75,
    "fifty-fifty": 0.50,
    "uncertain": 0.25,
    "improbable": 0.15,
    "almost impossible": 0.02,
}
MISSES_ONE_BY = 0.15
"""How far the weights of an entry that names every answer may be from one."""
_ROUNDING = 1e-9
_CHANCE = Limits(least=0, most=1)


def read_check(filled: Filled, id: str, name: str, flaws: Flaws) -> Check:
    """A check as its mapping says, with neither expectations nor hazards; `name` is for messages.

    Answers whose words are missing are kept out; what is wrong is noted, never raised.
    """
    answers, reading, bands = read_results(filled, name, flaws)
    stop_on = _stop_on(filled, answers, name, flaws)
    return Check(
        id=id,
        ask=filled.text("ask"),
        how=filled.text("how"),
        hands=filled.text("hands", "look"),  # type: ignore[arg-type]  # the field's words are those of Hands
        by=filled.text("by", "owner"),  # type: ignore[arg-type]  # and of Role
        minutes=filled.number("minutes"),
        answers=answers,
        reading=reading,
        bands=bands,
        not_sure=filled.number("not_sure", 0.05),
        stop_on=stop_on,
        refer=filled.text("refer") or None,
        wait=filled.number("wait"),
        price=filled.number("price"),
        at=filled.text("at") or None,
        part=filled.text("part") or None,
        needs=filled.texts("needs"),
        starts=filled.truth("starts"),
        restores_mains=filled.text("restores") == "mains",
        was=filled.texts("was"),
        mark=flaws.mark(filled.at),
    )


def read_results(
    filled: Filled, name: str, flaws: Flaws
) -> tuple[tuple[Answer, ...], Reading | None, tuple[Band, ...]]:
    """The answers of a check or fact; those of a reading are its bands."""
    if "answers" in filled:
        for key in ("reading", "bands"):
            if key in filled:
                flaws.at(
                    filled.key(key), f"{name} has answers and {key}; it takes answers, or reading with bands"
                )
        pairs = filled.pairs("answers")
        texts = [(key.value, value.text) for key, value in pairs if isinstance(value, Scalar)]
        return tuple(Answer(id, text) for id, text in texts if text is not None), None, ()
    if "reading" not in filled and "bands" not in filled:
        flaws.at(filled.at, f"{name} lacks answers, or reading with bands")
        return (), None, ()
    for key in ("reading", "bands"):
        if key not in filled:
            flaws.at(filled.at, f"{name} lacks {key}: a reading goes with bands")
    reading = _reading(filled, flaws)
    bands = _bands(filled, reading, name, flaws)
    unit = reading.unit if reading else ""
    return tuple(Answer(band.id, _band_words(band, reading, unit)) for band in bands), reading, bands


def _band_words(band: Band, reading: Reading | None, unit: str) -> str:
    """A band in words, its own id first, so that a list of answers reads plainly."""
    words = band.id.replace("-", " ")
    if reading is None or (band.low <= reading.low and band.high >= reading.high):
        return words
    if band.low <= reading.low:
        return f"{words}: below {band.high:g} {unit}"
    if band.high >= reading.high:
        return f"{words}: {band.low:g} {unit} or more"
    return f"{words}: from {band.low:g} to below {band.high:g} {unit}"


def _reading(filled: Filled, flaws: Flaws) -> Reading | None:
    node = filled.nodes.get("reading")
    if node is None:
        return None
    inner = fill("reading", node, filled.key("reading"), "reading", flaws)
    span = inner.nodes.get("range")
    ends = (
        [item.number for item in span.items if isinstance(item, Scalar)] if isinstance(span, ListNode) else []
    )
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return None
    return Reading(inner.text("unit"), ends[0], ends[1], inner.number("uncertainty", 1.0))


def _bands(filled: Filled, reading: Reading | None, name: str, flaws: Flaws) -> tuple[Band, ...]:
    """The bands in file order; they have to cover the range exactly once."""
    bands: list[tuple[Band, Scalar]] = []
    sound = True
    for key, node in filled.pairs("bands"):
        wrong_id(key, flaws)
        inner = fill("band", node, key, f"band {quoted(key.value)}", flaws)
        if reading is None:
            continue
        for end in ("from", "below"):
            number = inner.scalar(end)
            value = number.number if number is not None else None
            if number is not None and value is not None and not reading.low <= value <= reading.high:
                text = f"{end} of band {quoted(key.value)} is {value:g}, outside the range"
                flaws.at(number, f"{text} {reading.low:g} to {reading.high:g}")
        keys = {name.value for name, _ in node.pairs} if isinstance(node, MapNode) else {""}
        if keys != set(inner.nodes):
            sound = False  # one end is not known, so nothing can be said about gaps
            continue
        band = Band(key.value, inner.number("from", reading.low), inner.number("below", reading.high))
        if band.low >= band.high:
            flaws.at(key, f"band {quoted(key.value)} is empty: from {band.low:g} to below {band.high:g}")
            sound = False
        bands.append((band, key))
    if reading is not None and bands and sound:
        _cover(bands, reading, name, flaws)
    return tuple(band for band, _ in bands)


def _cover(bands: list[tuple[Band, Scalar]], reading: Reading, name: str, flaws: Flaws) -> None:
    """Note where bands overlap or leave a gap."""
    reached, last, last_key = reading.low, "", bands[0][1]
    for band, key in sorted(bands, key=lambda pair: (pair[0].low, pair[0].high)):
        if band.low > reached:
            flaws.at(key, f"bands of {name} leave a gap from {reached:g} to {band.low:g}")
        elif band.low < reached and last:
            flaws.at(
                key, f"band {quoted(band.id)} overlaps band {quoted(last)}, which ends below {reached:g}"
            )
        if band.high > reached:
            reached, last, last_key = band.high, band.id, key
    if reached < reading.high:
        flaws.at(last_key, f"bands of {name} leave a gap from {reached:g} to {reading.high:g}")


def _stop_on(filled: Filled, answers: tuple[Answer, ...], name: str, flaws: Flaws) -> frozenset[str]:
    known = [answer.id for answer in answers]
    for word in filled.scalars("stop_on"):
        if known and word.value not in known:
            text = f"stop_on names {quoted(word.value)}, which is no answer of {name}"
            flaws.at(word, text, flaws.nearest(word.value, known))
    if "stop_on" in filled and "refer" not in filled:
        flaws.at(filled.key("stop_on"), f"{name} has stop_on without refer: to whom does it refer then?")
    if "refer" in filled and "stop_on" not in filled:
        flaws.at(filled.key("refer"), f"{name} has refer without stop_on: which answer refers?")
    return frozenset(filled.texts("stop_on"))


def read_expect(
    filled: Filled, answers: tuple[str, ...], events: Collection[str] | None, name: str, flaws: Flaws
) -> dict[str, Mapping[str, float]]:
    """The expectations of a check, words turned into numbers; entries are kept as they are written.

    `events` are the causes and events that may be named beside `otherwise`; None where they are not known.
    """
    expect: dict[str, Mapping[str, float]] = {}
    for key, node in filled.pairs("expect"):
        entry = _entry(key, node, answers, name, flaws)
        if key.value == NOT_LISTED:
            flaws.at(key, "expect names not-listed, which expects all answers equally and takes no entry")
        elif events is not None and key.value != OTHERWISE and key.value not in events:
            text = f"expect names {quoted(key.value)}, which is no cause or event here"
            flaws.at(key, text, flaws.nearest(key.value, [*events, OTHERWISE]))
        else:
            expect[key.value] = entry
    return expect


def _entry(key: Scalar, node: object, answers: tuple[str, ...], name: str, flaws: Flaws) -> dict[str, float]:
    """One line of `expect`: what each named answer weighs."""
    weights: dict[str, float] = {}
    if not isinstance(node, MapNode):
        at = (
            node
            if isinstance(node, (Scalar, ListNode)) and not (isinstance(node, Scalar) and node.null)
            else key
        )
        what = what_it_is(node) if isinstance(node, (Scalar, ListNode)) else "nothing"
        flaws.at(at, f"expect under {quoted(key.value)} wants a mapping of answers, not {what}")
        return weights
    sound = True
    for answer, value in node.pairs:
        if answers and answer.value not in answers:
            text = f"expect names {quoted(answer.value)}, which is no answer of {name}"
            flaws.at(answer, text, flaws.nearest(answer.value, answers))
            sound = False
            continue
        weight = _weight(answer, value, flaws)
        if weight is None:
            sound = False
        else:
            weights[answer.value] = weight
    if sound and answers:
        _sum(key, weights, answers, name, flaws)
    return weights


def _weight(answer: Scalar, value: object, flaws: Flaws) -> float | None:
    """A number from 0 to 1, or one of the words."""
    wants = "a number from 0 to 1 or a probability word"
    if not isinstance(value, Scalar):
        at = value if isinstance(value, (MapNode, ListNode)) else answer
        flaws.at(at, f"{answer.value} wants {wants}")
        return None
    number = value.number
    if number is not None:
        if _CHANCE.broken_by(number):
            flaws.at(value, f"{answer.value} is {value.value[:30]}; it wants {wants}")
            return None
        return number
    word = " ".join(value.value.split())
    if word in PROBABILITY_WORDS:
        return PROBABILITY_WORDS[word]
    at = answer if value.null else value
    meant = flaws.nearest(word, PROBABILITY_WORDS)
    flaws.at(at, f"{answer.value} wants {wants}, not {what_it_is(value)}", meant)
    return None


def _sum(
    key: Scalar, weights: Mapping[str, float], answers: tuple[str, ...], name: str, flaws: Flaws
) -> None:
    total = sum(weights.values())
    where = f"answers of {name} add up to {total:.4g} under {quoted(key.value)}"
    if set(weights) == set(answers):
        if abs(total - 1) > MISSES_ONE_BY + _ROUNDING:
            flaws.at(key, f"{where}; where all are named, that may miss 1 by {MISSES_ONE_BY} at most")
    elif total > 1 + _ROUNDING:
        flaws.at(key, f"{where}; 1 is the most")
