"""A printed list brought back at a real terminal, at 40 and 80 columns."""

from __future__ import annotations

import pytest

from diagnose.cases.rounds_store import round_kept
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.rounds.list_code import list_code
from diagnose.rounds.ordering import planned

pytestmark = pytest.mark.long

LIBRARY = Library()
JOURNEY, COMMON = LIBRARY.round("journey"), LIBRARY.common()
ORDER = planned(JOURNEY.tasks, JOURNEY.after, COMMON.places).order
CODE = list_code(JOURNEY, ORDER, COMMON.facts, "van 7", ["build"])


@pytest.mark.parametrize("columns", [40, 80])
def test_a_list_is_brought_back_and_danger_typed_there_keeps_nothing(terminal, surroundings, columns):
    at = terminal("round", "--code", CODE, "--vehicle", "van 7", columns=columns)
    at.see("Which are wrong?")
    at.see(">")
    at.type("danger")
    at.see("STOP - DANGER")
    assert at.end() == 0
    at = terminal("round", "--code", CODE, "--vehicle", "van 7", columns=columns)
    for question, typed in [
        ("Which are wrong?", "4: it drips"),
        ("Which were not done?", "99"),
        ("There is no row 99", "5"),
        ("Which are not fitted?", ""),
        ("What is ticked about the vehicle?", "a motorhome"),
        ("Left: 6 rows", "fine"),
        ("Keep this?", "yes"),
    ]:
        at.see(question)
        at.see(">")
        at.type(typed)
    at.see("NOT READY")
    at.see("This does not certify")
    assert at.end() == 0
    assert max(len(line) for line in at.lines()) <= columns
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        lines = round_kept(store, 1).lines
    ends = {line.subject: line.answer for line in lines if line.noted == "mark"}
    assert ends[ORDER[3]] == "wrong"
    assert ends[ORDER[4]] == "not-done"
