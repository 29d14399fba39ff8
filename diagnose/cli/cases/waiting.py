"""The cases whose outcome is waited for, with the codes by which it can come back."""

from __future__ import annotations

from contextlib import suppress
from functools import cache
from typing import TYPE_CHECKING

from diagnose.cli.cases.at_hand import tree_at_hand
from diagnose.terms import DiagnoseError, Tree

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.selecting import Wanted
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library


def with_codes(
    kept: CaseStore, wanted: Wanted, library: Library
) -> tuple[tuple[CaseRecord, ...], dict[int, str]]:
    """The cases that fit, and case -> code; one whose tree is not at hand, or of elsewhere, has none."""
    from diagnose.walking.case_codes import code_of

    @cache
    def tree_of(symptom: str) -> Tree | None:
        return tree_at_hand(library, symptom)

    records, origin = kept.cases(wanted), kept.origin
    codes = {}
    for record in records:
        tree = tree_of(record.symptom)
        if tree is not None:
            with suppress(DiagnoseError):
                codes[record.case] = code_of(record, tree, origin)
    return records, codes
