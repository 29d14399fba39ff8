"""The exact readings of a case behind its code, as a square code on a sheet holds them.

A code carries a reading as the band that held it, which is all that anybody could read out over a
telephone. A camera reads more: behind the code stands `CHECK:VALUE:UNCERTAINTY` for each reading, in the
check's own unit. Capitals, digits, the hyphen, the colon and the full stop are all that occur: a square
code packs those best (ISO/IEC 18004, alphanumeric mode). A check goes by the first name that it ever had,
as in a code's shape.

The code stays what is trusted. A reading that does not lie in the band that the code tells is refused, and
so is one of a check of which the code tells none; whatever is refused can be left out, and the code still
serves.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

from diagnose.knowledge.ids import quoted
from diagnose.terms import NOT_SURE, Check, DiagnoseError, Finding, Tree, WrongUsage
from diagnose.walking.case_codes import Contents, finding_slots
from diagnose.walking.past import Past, check_of
from diagnose.walking.readings import band_of

_FORM = re.compile(r"[A-Z][A-Z0-9]*(-[A-Z0-9]+)*(:[-+]?[0-9.]+(E[-+]?[0-9]+)?){1,2}")
_LOOKS_LIKE_ONE = re.compile(r"[A-Za-z][A-Za-z0-9-]*:[-+.0-9]")
_LONGEST = 120


class ReadingNotOfThisCase(DiagnoseError):
    """A reading behind a code that its case cannot have had."""


@dataclass(frozen=True, slots=True)
class ExactReading:
    """A reading as it stands behind a code."""

    check: str
    """The check's first name."""
    value: float
    uncertainty: float | None
    written: str


def with_exact_readings(code: str, past: Past) -> str:
    """The code with the exact readings behind it, as `past` has them; nothing where there is no code.

    Nothing of the vehicle or of anybody is in it: ids of checks and figures.
    """
    if not code:
        return ""
    parts = [code]
    for slot in finding_slots(past.tree):
        finding, check = past.findings.get(slot.id), check_of(past.tree, slot.id)
        if finding is None or check is None or check.reading is None or finding.value is None:
            continue
        figures = [finding.value, *([finding.uncertainty] if finding.uncertainty else [])]
        parts.append(":".join([_first_name(check).upper(), *map(_figure, figures)]))
    return " ".join(parts)


def split_readings(words: Sequence[str]) -> tuple[tuple[str, ...], tuple[ExactReading, ...]]:
    """The words without readings, and the readings among them, whatever the words were quoted as.

    Raises WrongUsage for one that is not written as readings are.

    >>> split_readings(["0042-7524-4371 REST-VOLTS:12.1:0.05", "2"])[0]
    ('0042-7524-4371', '2')
    """
    others: list[str] = []
    readings: list[ExactReading] = []
    for word in (part for each in words for part in each.split()):
        if others and _LOOKS_LIKE_ONE.match(word):
            readings.append(_read(word))
        else:
            others.append(word)
    return tuple(others), tuple(readings)


def in_place(held: Contents, tree: Tree, readings: Sequence[ExactReading]) -> Contents:
    """What a code holds, with the exact readings beside their bands; `tree` is that which it was made with.

    Raises ReadingNotOfThisCase.
    """
    by_first_name = {_first_name(check): check for check in _measured(held.findings, tree)}
    exact: dict[str, Finding] = {}
    for each in readings:
        check = by_first_name.get(each.check)
        if check is None:
            raise ReadingNotOfThisCase(_no_such(each, by_first_name))
        if check.id in exact:
            raise ReadingNotOfThisCase(f"a reading of {quoted(each.check.upper())} stands here twice")
        _in_its_band(each, check, held.findings[check.id])
        exact[check.id] = Finding(check.id, held.findings[check.id], each.value, each.uncertainty)
    return replace(held, readings=exact)


def _read(word: str) -> ExactReading:
    text = word.upper()
    if len(text) > _LONGEST or not _FORM.fullmatch(text):
        raise WrongUsage(
            f"{quoted(word[:40])} is not written as a reading behind a code is: REST-VOLTS:12.1:0.05"
        )
    check, *figures = text.split(":")
    try:
        value, *uncertainty = map(float, figures)
    except ValueError:
        raise WrongUsage(f"{quoted(word[:40])} holds a figure that is no number") from None
    if not all(map(isfinite, (value, *uncertainty))) or any(each <= 0 for each in uncertainty):
        raise WrongUsage(f"{quoted(word[:40])}: a value is a number, and its uncertainty one above zero")
    return ExactReading(check.lower(), value, uncertainty[0] if uncertainty else None, text)


def _in_its_band(each: ExactReading, check: Check, band: str) -> None:
    reading = check.reading
    assert reading is not None, "only checks with a reading are looked among"
    unit = reading.unit
    if not reading.low <= each.value <= reading.high:
        raise ReadingNotOfThisCase(
            f"{each.written}: {each.value:g} {unit} is outside the range of that check, "
            f"{reading.low:g} to {reading.high:g} {unit}"
        )
    if each.uncertainty is not None and each.uncertainty > reading.high - reading.low:
        raise ReadingNotOfThisCase(f"{each.written}: its uncertainty is wider than the range of that check")
    if band_of(check, each.value) != band:
        says = {answer.id: answer.says for answer in check.answers}.get(band, band)
        raise ReadingNotOfThisCase(
            f'{each.written}: by its code this reading is "{says}", and {each.value:g} {unit} is not; '
            "read it again, or leave it out: the code serves without it"
        )


def _measured(findings: Mapping[str, str], tree: Tree) -> list[Check]:
    """The checks that a code tells a reading of."""
    checks = [check_of(tree, id) for id, answer in findings.items() if answer != NOT_SURE]
    return [check for check in checks if check is not None and check.reading is not None]


def _no_such(each: ExactReading, known: Mapping[str, Check]) -> str:
    there = ", ".join(name.upper() for name in known) or "none"
    return (
        f"{each.written}: the case of this code has no reading of that check (its readings: {there}); "
        "leave it out: the code serves without it"
    )


def _first_name(check: Check) -> str:
    return check.was[0] if check.was else check.id


def _figure(value: float) -> str:
    """As few digits as tell the number apart from every other, so that it comes back just as it was."""
    text = repr(float(value)).upper()
    return text.removesuffix(".0")
