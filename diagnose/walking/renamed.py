"""A journal and a tree that has changed since: old ids are led to new ones, what has no place is named.

Ids live on in `was`; an answer or a remedy that no longer exists is dropped rather than bent to another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.cases.records import Entry
from diagnose.terms import NOT_SURE, Check, Tree
from diagnose.walking.readings import band_of


def placed(tree: Tree, line: Entry) -> Entry | None:
    """The line with the ids of this tree, or None if it speaks of something that the tree does not have.

    Lines that name neither check nor cause come back as they are.
    """
    if line.kind in ("finding", "unsure"):
        check = _check(tree, line.subject)
        return None if check is None else _finding(check, line)
    if line.kind in ("tried", "cured-when"):
        remedy = cut_set_today(tree, line.subject)
        return None if remedy is None else replace(line, subject=remedy)
    return line


def without_place(tree: Tree, journal: Sequence[Entry]) -> tuple[tuple[str, str | None], ...]:
    """What a journal holds and this tree has no place for: (id, answer or outcome), in the lines' order."""
    taken_back = {line.subject for line in journal if line.kind == "back"}
    dropped = [
        (line.subject, line.answer)
        for line in journal
        if line.kind in ("finding", "tried")
        and str(line.number) not in taken_back
        and placed(tree, line) is None
    ]
    return tuple(dict.fromkeys(dropped))


def _check(tree: Tree, id: str) -> Check | None:
    known = tree.checks.get(id) or tree.facts.get(id)
    if known is not None:
        return known
    return next((check for check in tree.checks.values() if id in check.was), None)


def _finding(check: Check, line: Entry) -> Entry | None:
    """The line under the check's present id, if its answer still is one; a reading takes today's band."""
    if line.kind == "unsure" or (line.value is None and line.answer in (*check.answer_ids(), NOT_SURE)):
        return replace(line, subject=check.id)
    if line.value is None:
        return None
    band = band_of(check, line.value)
    if band is not None:
        return replace(line, subject=check.id, answer=band)
    if check.reading is None and line.answer in check.answer_ids():
        return replace(line, subject=check.id, value=None, uncertainty=None)
    return None


def cut_set_today(tree: Tree, cut_set: str) -> str | None:
    """The cut set's id today: each cause by its own or an old id, in file order."""
    order = {id: at for at, id in enumerate(tree.events)}
    now = {old: event.id for event in tree.events.values() for old in event.was}
    causes = sorted({now.get(id, id) for id in cut_set.split("+")}, key=lambda id: order.get(id, -1))
    return "+".join(causes) if tuple(causes) in tree.cut_sets else None
