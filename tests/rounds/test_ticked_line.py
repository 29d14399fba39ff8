"""What was ticked on a list, typed: rows by number, characters or id; what is not said is never fine."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.codes import WrongCode
from diagnose.cases.rounds_records import RoundLine
from diagnose.knowledge.collection import Library
from diagnose.rounds.code_parts import OtherVehicleOfCode, read_head
from diagnose.rounds.list_code import list_code, row_marks, rows_of
from diagnose.rounds.marks_file import Known
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import held_back, past_of
from diagnose.rounds.presence import is_never_missing
from diagnose.rounds.ticked_line import completed, read_line
from diagnose.terms import FlawedKnowledge
from diagnose.terms.rounds import TASK_ENDS, TaskMark

LIBRARY = Library()
COMMON = LIBRARY.common()
JOURNEY = LIBRARY.round("journey")
ORDER = planned(JOURNEY.tasks, JOURNEY.after, COMMON.places).order
NOTHING = past_of(JOURNEY, ())


def known(**carded):
    return Known(carded, carded, COMMON.facts)


def code_of(round=JOURNEY, order=ORDER, vehicle="", asked=("build",)):
    return list_code(round, order, COMMON.facts, vehicle, asked)


def rows(round=JOURNEY, code=None):
    return rows_of(read_head(code or code_of()), round, COMMON.facts, COMMON.places)


def changed(id="w4-tyres", **what):
    """The round as it is after somebody has changed one of its tasks."""
    task = replace(JOURNEY.tasks[id], **what)
    return replace(JOURNEY, tasks={**JOURNEY.tasks, id: task})


def flaws(text, of=None, what=None):
    with pytest.raises(FlawedKnowledge) as refused:
        read_line(text, of or rows(), what or known())
    return [f"{each.line}:{each.column} {each.message}" for each in refused.value.flaws]


def ends(text, past=NOTHING):
    found = completed(read_line(text, rows(), known()), rows(), past)
    return {mark.task: mark.end for mark in found.brought.marks}, found.waiting


def test_rows_are_named_by_number_by_their_characters_by_id_and_by_stretches():
    sign = row_marks(JOURNEY)["w6-belts"]
    line = read_line(
        f"wrong 2: one is soft; WRONG: {sign.lower()}, j2-gas\nnot fitted 4-5\nBuild: Caravan",
        rows(),
        known(),
    )
    assert [(each.task, each.end, each.note) for each in line.brought.marks] == [
        (ORDER[1], "wrong", "one is soft"),
        ("w6-belts", "wrong", ""),
        ("j2-gas", "wrong", ""),
        (ORDER[3], "not-fitted", ""),
        (ORDER[4], "not-fitted", ""),
    ]
    assert (line.brought.facts, line.rest) == ({"build": "caravan"}, None)


def test_a_box_that_nobody_ticked_is_not_done_and_the_rest_is_fine_only_where_it_is_said():
    found, _ = ends("wrong 2")
    assert found == {id: "wrong" if id == ORDER[1] else "not-done" for id in ORDER}
    found, _ = ends("not fitted 4; rest fine")
    assert found == {id: "not-fitted" if id == ORDER[3] else "fine" for id in ORDER}


def test_the_rest_makes_nothing_fine_that_is_not_to_be_done_while_something_is_wrong():
    # Nobody drives to the scales on a soft tyre.
    found, waiting = ends("wrong w4-tyres; rest fine")
    assert (found["j1-load"], waiting) == ("not-done", {"j1-load": "w4-tyres"})
    assert ends("wrong w4-tyres; fine j1-load; rest fine")[0]["j1-load"] == "fine"


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.sampled_from((*TASK_ENDS, None)), min_size=8, max_size=8),
    st.sampled_from(("", "rest fine", "rest not done")),
)
def test_nothing_becomes_fine_that_nobody_called_fine_and_the_rest_never_what_is_held_back(given_ends, rest):
    given_ends = [
        "not-done" if end == "not-fitted" and is_never_missing(JOURNEY.tasks[id]) else end
        for id, end in zip(ORDER, given_ends, strict=True)
    ]
    typed = [f"{end} {row}" for row, end in enumerate(given_ends, 1) if end is not None]
    found, waiting = ends("; ".join([*typed, rest]) or "rest not done")
    said = {id: end for id, end in zip(ORDER, given_ends, strict=True) if end is not None}
    assert found.keys() == set(ORDER)
    assert {id: found[id] for id in said} == said
    marks = {id: TaskMark(id, end, datetime(2026, 3, 1, tzinfo=UTC)) for id, end in found.items()}
    held = held_back(JOURNEY, JOURNEY.tasks, marks)
    for id in set(ORDER) - set(said):
        assert (found[id] == "fine") == (rest == "rest fine" and id not in held)
        assert found[id] in ("fine", "not-done")
    assert waiting.keys() == {id for id in ORDER if id not in said and rest == "rest fine" and id in held}


def test_what_was_marked_on_the_round_before_stays_where_no_row_names_it():
    lines = [
        RoundLine(datetime(2026, 3, 1, tzinfo=UTC), "mark", id, end, number=at)
        for at, (id, end) in enumerate([(ORDER[0], "wrong"), (ORDER[1], "not-done")], 1)
    ]
    found, _ = ends("wrong 3; rest fine", past_of(JOURNEY, lines))
    assert ORDER[0] not in found
    assert found[ORDER[1]] == "fine"


def test_all_flaws_of_a_line_are_told_at_once_with_their_places():
    assert flaws(
        "wrnog 4; wrong 99 1 1; rest wrong\nnot done; fine QQQQ 7-3; a boat; z yes; fine w8-fluid"
    ) == [
        '1:1 "wrnog 4" is not understood; write an end and rows, such as: wrong 4 9 (did you mean "wrong"?)',
        "1:16 there is no row 99; this list has rows 1 to 8",
        "1:21 1 (j4-lamps) has an end already",
        "1:24 the rest is fine or not done; name the rows of anything else",
        "2:1 not done of which rows? Write their numbers behind it",
        '2:16 no row of the journey round reads as "QQQQ" did: it has changed or gone, or a character is '
        "wrong; nothing ticked beside it counts before it is looked at again",
        "2:21 7-3 is no stretch of rows: the lower number comes first",
        '2:26 build is motorhome, campervan, caravan or not-sure, not "boat"',
        "2:34 there is no z about the vehicle; this list has a",
        '2:46 "w8-fluid" is no row of this list (did you mean "w8-fluids"?)',
    ]
    assert flaws("a motorhome; fine w8-fluids", what=known(build="caravan")) == [
        "1:1 build is caravan on the card, not motorhome; put the card right, or leave this out",
        '1:19 "w8-fluids" is not for this vehicle by its card; it ends as not-fitted',
    ]
    assert flaws("not fitted 2 4") == [
        '1:12 "w4-tyres" is of something that no vehicle lacks; it ends as fine, wrong or not-done'
    ]
    assert flaws("rest fine; rest not done; rest fine 4") == [
        "1:12 what the rest is stands here already",
        '1:27 behind the rest nothing is named, as is "4"',
    ]


def test_of_a_list_that_was_printed_before_a_text_changed_no_number_counts_and_no_rest():
    found, signs = rows(changed(how="Look twice.")), row_marks(JOURNEY)
    assert found.changed
    line = read_line(f"fine {signs['w8-fluids']}; wrong j1-load; not done w4-tyres", found, known())
    assert [each.task for each in line.brought.marks] == ["w8-fluids", "j1-load", "w4-tyres"]
    # Nothing is filled in: which rows there were is not known.
    assert completed(line, found, NOTHING).brought.marks == line.brought.marks
    why = "this list was printed before something of the round changed"
    assert flaws(f"wrong 2; fine j1-load {signs['w4-tyres']}; rest fine", found) == [
        f"1:7 {why}, so 2 may be another row now; write its four characters",
        f"1:15 {why}; for j1-load to be fine, write the four characters beside its row",
        f'1:23 no row of the journey round reads as "{signs["w4-tyres"]}" did: it has changed or gone, or a '
        "character is wrong; nothing ticked beside it counts before it is looked at again",
        f"1:29 {why}, so the rest is not known; name what is fine by its characters",
    ]


def test_a_task_that_went_or_came_changes_the_list_and_one_that_was_renamed_does_not():
    fewer = dict(JOURNEY.tasks)
    gone = fewer.pop("j5-papers")
    assert rows(replace(JOURNEY, tasks=fewer, after={})).changed
    renamed = replace(gone, id="j9-papers", was=("j5-papers",))
    names = {"j5-papers": "j9-papers"}
    today = replace(
        JOURNEY,
        tasks={names.get(id, id): renamed if id in names else task for id, task in JOURNEY.tasks.items()},
        after={
            names.get(id, id): frozenset(names.get(each, each) for each in before)
            for id, before in JOURNEY.after.items()
        },
    )
    assert rows(today).order == tuple(names.get(id, id) for id in ORDER)


def test_a_code_of_another_vehicle_or_of_no_round_is_told():
    head = read_head(code_of(vehicle="Van 7"))
    head.of_vehicle(" van 7")
    with pytest.raises(OtherVehicleOfCode, match='another vehicle than "van 8"'):
        head.of_vehicle("van 8")
    with pytest.raises(OtherVehicleOfCode, match="a vehicle that has a name"):
        head.of_vehicle("")
    read_head(code_of()).of_vehicle("any")
    # The code of a walk in docs/codes.md.
    with pytest.raises(WrongCode, match="no code of a round"):
        read_head("057R-R84R-R336-8R87-65M8")
