"""A case that is marked on a drawing, and the cases that count in its shares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.terms import DiagnoseError, Tree

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.store import CaseStore
    from diagnose.drawing.case_marks import Marks
    from diagnose.drawing.learned import Learned
    from diagnose.knowledge.collection import Library


def case_of(tree: Tree, kept: CaseStore, number: int) -> CaseRecord:
    """The case, which must be about this tree's symptom; raises DiagnoseError."""
    record = kept.case(number)
    if record.symptom != tree.id:
        of = record.symptom
        raise DiagnoseError(f"case {number} is about {of}, not {tree.id}: diagnose draw {of} --case {number}")
    return record


def record_of(tree: Tree, number: int | None, store: str | None) -> CaseRecord | None:
    """The case as stored; None without a number. Raises DiagnoseError."""
    if number is None:
        return None
    from diagnose.cases.refusals import NoSuchCase
    from diagnose.cli.cases.at_hand import kept_store

    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(number)
        return case_of(tree, kept, number)


def learned_from(tree: Tree, store: str | None, library: Library) -> Learned:
    """The shares with the cases of a store counted in; the file's own where none is named."""
    from diagnose.drawing.learned import BY_FILE, learned

    if store is None:
        return BY_FILE
    from diagnose.cli.counted import tally_from
    from diagnose.cli.settings import read_settings

    settings = read_settings()
    tally = tally_from(tree, store, settings.half_life)
    return learned(tree, settings, tally, frozenset(library.ids()))


def marks_of(tree: Tree, number: int | None, store: str | None, library: Library) -> Marks:
    """What a case has brought to light; nothing without a number.

    Ranked with the file's own figures, unless a store is named: then the cases kept there count as well.
    """
    from diagnose.drawing.case_marks import NO_CASE, case_marks

    record = record_of(tree, number, store)
    if record is None:
        return NO_CASE
    from diagnose.cli.counted import tally_from
    from diagnose.cli.settings import read_settings
    from diagnose.walking.past import read_past
    from diagnose.walking.reasoner import RoomReasoner, Terms
    from diagnose.walking.sheet_making import has_ranking

    settings = read_settings()
    tally = tally_from(tree, store, settings.half_life)
    past = read_past(tree, record.entries)
    reasoner = RoomReasoner(tree, Terms(record.role, settings, tally, frozenset(library.ids())))
    ranking = reasoner.ranking(past.situation) if has_ranking(record, past) else ()
    return case_marks(record, tree, ranking)
