"""A printed list brought back at the prompt: one question after another, shown once before it is kept."""

from __future__ import annotations

import io

import pytest

from diagnose.knowledge.collection import Library
from diagnose.rounds.list_code import Rows, lettered, row_marks
from diagnose.rounds.marks_file import Known
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import past_of
from diagnose.terminal.console import PlainConsole
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.round_ticking import PutAside, Ticking

LIBRARY = Library()
COMMON = LIBRARY.common()
JOURNEY = LIBRARY.round("journey")
ORDER = tuple(planned(JOURNEY.tasks, JOURNEY.after, COMMON.places).order)
SIGNS = row_marks(JOURNEY)
LETTERS = lettered(JOURNEY, COMMON.facts, ["build"])
ROWS = Rows(JOURNEY, ORDER, {sign: id for id, sign in SIGNS.items()}, LETTERS)
CHANGED = Rows(JOURNEY, (), ROWS.marks, {})


def ticking(*typed, rows=ROWS):
    sink = io.StringIO()
    console = PlainConsole(io.StringIO("".join(f"{line}\n" for line in typed)), sink)
    return Ticking(console, rows, Known({}, {}, COMMON.facts), past_of(JOURNEY, ())), sink


def test_the_rest_is_fine_only_once_that_word_was_typed_and_all_is_shown_before_it_is_kept():
    asking, sink = ticking("2: one is soft; 5", "none", "3", "a campervan", "f", "yes", "fine", "y", "yes")
    found = asking.ask()
    wanted = {ORDER[1]: "wrong", ORDER[4]: "wrong", ORDER[2]: "not-fitted", "j1-load": "not-done"}
    assert {mark.task: mark.end for mark in found.brought.marks} == {
        id: wanted.get(id, "fine") for id in ORDER
    }
    assert (found.brought.marks[1].note, found.brought.facts) == ("one is soft", {"build": "campervan"})
    shown = sink.getvalue()
    assert "Left: 5 rows, 1, 4, 6, 7, 8." in shown
    assert shown.count("Type the whole word: fine. Or just Enter, for not done.") == 2
    assert shown.index("  2  WRONG       Look at every tyre") < shown.index("Keep this? Type the whole word")
    assert "Here it has to be the whole word: yes or no." in shown


def test_with_nothing_but_enter_everything_is_not_done():
    found = ticking("", "", "", "", "", "yes")[0].ask()
    assert {mark.end for mark in found.brought.marks} == {"not-done"}


def test_a_note_that_names_danger_is_asked_about_and_a_whole_no_goes_on():
    with pytest.raises(DangerTold):
        ticking("4: danger near it", "perhaps", "yes")[0].ask()
    asking, sink = ticking("4: danger near it", "no", "", "", "", "", "yes")
    assert {mark.note for mark in asking.ask().brought.marks} == {"", "danger near it"}
    assert 'You wrote "4: danger near it". To be safe: is there now' in sink.getvalue()


def test_a_slip_is_told_and_only_that_question_comes_again():
    asking, sink = ticking("2", "2 99", "3", "", "", "not done", "yes")
    found = asking.ask()
    assert "  - 2 (w4-tyres) has an end already.\n  - There is no row 99;" in sink.getvalue()
    assert {mark.task: mark.end for mark in found.brought.marks}[ORDER[1]] == "wrong"


def test_of_a_list_that_has_changed_the_four_characters_are_asked_for_and_nothing_is_filled_in():
    asking, sink = ticking("2", SIGNS["w4-tyres"], "", "", SIGNS["j2-gas"].lower(), "yes", rows=CHANGED)
    found = asking.ask()
    assert [(mark.task, mark.end) for mark in found.brought.marks] == [
        ("w4-tyres", "wrong"),
        ("j2-gas", "fine"),
    ]
    assert "Its numbers are not used." in " ".join(sink.getvalue().split())
    assert "Left:" not in sink.getvalue()


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        (("", "", "", "", "fine", "no"), PutAside),
        (("2", "leave off"), PutAside),
        (("2",), EOFError),
        (("2: I smell gas",), DangerTold),
        (("", "", "", "", "fine", "danger"), DangerTold),
    ],
)
def test_leaving_off_no_danger_and_the_end_of_the_input_keep_nothing(typed, error):
    with pytest.raises(error):
        ticking(*typed)[0].ask()
