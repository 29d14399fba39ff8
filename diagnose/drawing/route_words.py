"""What stands in the symbols and along the lines of a route's chart, in the words of its tree."""

from __future__ import annotations

from typing import Any

from diagnose.cases.records import Entry
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_LISTED, NOT_SURE, Check, Tree

OUTCOMES = {NOT_SURE: "not sure", CURED: "works now", NOT_CURED: "no better", COULD_NOT: "could not"}
AN_HOUR = 60.0


def says_answer(node: dict[str, Any], answer: str, tree: Tree) -> str:
    """An answer or outcome of a step of the route; a band with what it holds."""
    if answer in OUTCOMES:
        return OUTCOMES[answer]
    check = tree.checks[node["of"]]
    return _says_band(check, answer) or next(
        (each.says for each in check.answers if each.id == answer and each.says), answer
    )


def _says_band(check: Check, answer: str) -> str:
    band = next((band for band in check.bands if band.id == answer), None)
    if band is None or check.reading is None:
        return ""
    unit = check.reading.unit
    if band.low <= check.reading.low:
        return f"{answer} (under {band.high:g} {unit})"
    if band.high >= check.reading.high:
        return f"{answer} (from {band.low:g} {unit})"
    return f"{answer} ({band.low:g} to {band.high:g} {unit})"


def says_cut_set(of: str, tree: Tree) -> str:
    """What is put right: each cause of a cut set."""
    if of == NOT_LISTED:
        return "something not listed"
    return " and ".join(tree.events[cause].says for cause in of.split("+"))


def says_effort(node: dict[str, Any], tree: Tree) -> str:
    """How long a step takes, its waiting apart, and who does it where an owner does not.

    A remedy's minutes are without the trial that follows it.
    """
    if node["kind"] == "check":
        check = tree.checks[node["of"]]
        minutes, wait = check.minutes, check.wait
    else:
        causes = [tree.events[cause] for cause in node["of"].split("+") if cause in tree.events]
        remedies = [cause.remedy for cause in causes if cause.remedy is not None]
        minutes = sum(remedy.minutes for remedy in remedies)
        wait = sum(remedy.wait for remedy in remedies)
    parts = [_duration(minutes)]
    parts += [f"{_duration(wait)} waiting"] if wait else []
    parts += ["technician"] if node["by"] == "technician" else []
    return ", ".join(parts)


def _duration(minutes: float) -> str:
    """Minutes up to two hours, then hours.

    >>> _duration(3), _duration(90), _duration(480)
    ('3 min', '90 min', '8 h')
    """
    return f"{minutes:g} min" if minutes < 2 * AN_HOUR else f"{round(minutes / AN_HOUR, 1):g} h"


def says_end(kind: str, of: str, tree: Tree) -> str:
    """Where a route ends: whom it is referred to in full, a stop in capitals."""
    whom = tree.referrals[of].to if of in tree.referrals else of
    return {
        "cured": "Cured",
        "stop": f"STOP, danger. {whom}",
        "referral": f"Refer: {whom}",
        "handover": f"Go on with the tree {of}",
    }[kind]


def says_found(check: Check, line: Entry) -> str:
    """What a case found: a reading with its standard uncertainty, else the answer."""
    if line.answer == NOT_SURE and line.value is None:
        return OUTCOMES[NOT_SURE]
    if line.value is None:
        return next((each.says for each in check.answers if each.id == line.answer), "") or str(line.answer)
    within = f" ± {line.uncertainty:g}" if line.uncertainty else ""
    return f"{line.value:g}{within} {check.reading.unit if check.reading else ''}".strip()
