"""The questions of that talk about a reading: its unit, its scale, and what each stretch of it means."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import isfinite

from diagnose.knowledge.ids import as_id, nearest, quoted
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker
from diagnose.walking.readings import UNITS, usual_unit
from diagnose.walking.views import Choice

MOST_BANDS = 7
_MOST = 1e6
_NUMBER = re.compile(r"(?<![\d.,])[-+\u2212]?\d+(?:[.,]\d+)?")
"""A hyphen between two numbers is no sign: 0-16 goes from 0 to 16."""
_BETWEEN = re.compile(r"(?:[\s,;:–—-]|\bto\b|\band\b)*")


def ask_for_reading(asker: Asker) -> Mapping[str, Value]:
    """`reading` and `bands` as a tree has them; the bands cover the range once, whatever is typed."""
    unit = _unit(asker)
    text = asker.line(
        f"What is the least and the greatest that it can show, in {unit}?",
        "Two numbers, such as: 0 to 16",
        needed=True,
        judge=lambda text: _wrong_range(text, unit),
    )
    low, high = numbers_in(text, unit)
    off = float(f"{(high - low) / 100:.1g}")
    uncertainty = asker.number(
        "By how much may it be off?",
        f"Two of three readings are nearer to the truth than that. Enter takes {off:g}.",
        usual=off,
        most=high - low,
    )
    text = asker.line(
        "From which value on does it mean something else?",
        "One value or several, such as: 11.9, 12.4",
        needed=True,
        judge=lambda text: _wrong_borders(text, unit, low, high),
    )
    reading: dict[str, Value] = {"unit": unit, "range": [low, high], "uncertainty": uncertainty}
    return {"reading": reading, "bands": _bands(asker, sorted(numbers_in(text, unit)), unit)}


def bands_in_words(more: Mapping[str, Value]) -> dict[str, str]:
    """Each band by its id, in the words of its name and its ends."""
    bands, reading = more["bands"], more["reading"]
    assert isinstance(bands, Mapping)
    assert isinstance(reading, Mapping)
    return {
        id: f"{id.replace('-', ' ')} ({_stretch(ends, str(reading['unit']))})"
        for id, ends in bands.items()
        if isinstance(ends, Mapping)
    }


def numbers_in(text: str, unit: str = "") -> list[float]:
    """The numbers of a line, empty where anything else than a unit stands between them.

    >>> numbers_in("-30 to 45 °C", "°C"), numbers_in("11,9; 12.4"), numbers_in("0-16"), numbers_in("a 5")
    ([-30.0, 45.0], [11.9, 12.4], [0.0, 16.0], [])
    """
    bare = text.replace(unit, " ") if unit and not unit[0].isdigit() else text
    if not _BETWEEN.fullmatch(_NUMBER.sub(" ", bare)):
        return []
    return [float(each.replace(",", ".").replace("\u2212", "-")) for each in _NUMBER.findall(bare)]


def _unit(asker: Asker) -> str:
    text = asker.line("In which unit?", "Such as V, °C, %, bar or minutes.", needed=True, judge=_wrong_unit)
    unit = usual_unit(text)
    near = "" if unit in UNITS or len(text) < 4 else nearest(text.casefold(), UNITS)
    if not near:
        return unit
    choices = [Choice(usual_unit(near), usual_unit(near)), Choice("new", f"{text}, another unit")]
    picked = asker.choose("Which is meant?", choices, how="Enter takes 1.", usual=choices[0].id)
    return text if picked == "new" else picked


def _wrong_unit(text: str) -> Sequence[str]:
    return () if len(text) <= 20 and not re.search(r"\d", text) else (f"{quoted(text)} is no unit.",)


def _wrong_range(text: str, unit: str) -> Sequence[str]:
    found = numbers_in(text, unit)
    if len(found) != 2:
        return ("Type two numbers, with to between.",)
    if not all(isfinite(each) and abs(each) <= _MOST for each in found):
        return (f"It goes to {_MOST:,.0f} at most.",)
    return () if found[0] < found[1] else ("The least comes first, and the greatest is more than that.",)


def _wrong_borders(text: str, unit: str, low: float, high: float) -> Sequence[str]:
    found = numbers_in(text, unit)
    if not found:
        return ("Type one value or several, with commas between.",)
    outside = [each for each in found if not low < each < high]
    if outside:
        return (f"{outside[0]:g} does not lie between {low:g} and {high:g} {unit}.",)
    if len(set(found)) != len(found):
        return ("The same value stands there twice.",)
    return () if len(found) < MOST_BANDS else (f"{MOST_BANDS} stretches are the most.",)


def _bands(asker: Asker, borders: Sequence[float], unit: str) -> Value:
    """What each stretch is called, by asking; from the lowest to the highest."""
    bands: dict[str, Value] = {}
    for low, high in pairwise((None, *borders, None)):
        ends: dict[str, Value] = {"from": low} if low is not None else {}
        ends |= {"below": high} if high is not None else {}

        def wrong(text: str) -> Sequence[str]:
            if as_id(text) in bands:
                return (f"{quoted(text)} is there already.",)
            return () if as_id(text) else ("One or two words, beginning with a letter.",)

        text = asker.line(
            f"What is it called {_stretch(ends, unit)}?",
            "A word or two, such as: low",
            needed=True,
            judge=wrong,
        )
        bands[as_id(text)] = ends
    return bands


def _stretch(ends: Mapping[str, Value], unit: str) -> str:
    low, high = ends.get("from"), ends.get("below")
    if low is None:
        return f"below {high:g} {unit}"
    return f"from {low:g} {unit} on" if high is None else f"from {low:g} to below {high:g} {unit}"
