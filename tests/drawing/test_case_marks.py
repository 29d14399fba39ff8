from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.drawing.branches import branches
from diagnose.drawing.case_marks import NO_CASE, case_marks
from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.terms import NOT_LISTED, Ranked

NOW = datetime(2026, 3, 1, 10, tzinfo=UTC)
RANKING = [
    Ranked("plug+damp", "Both", 0.7, 0.6, 0.8),
    Ranked("lead", "Wet lead", 0.2, 0.1, 0.3),
    Ranked(NOT_LISTED, "Else", 0.1, 0.0, 0.2),
]


def record(*entries, **further):
    journal = [
        Entry(NOW + timedelta(minutes=number), *entry, number=number)
        for number, entry in enumerate(entries, 1)
    ]
    about = {"case": 7, "symptom": "post-trips", "tree_digest": "0", "role": "owner", "state": "open"}
    return CaseRecord(**about | further, opened=NOW, changed=NOW, entries=tuple(journal))


def boxes(tree, marks, down_to=0.0):
    text = fault_tree_dot(tree, down_to, marks).replace("\N{NO-BREAK SPACE}", " ").replace("\\n", " ")
    return {
        line.strip().split(" ")[0]: line for line in text.splitlines() if "[" in line and "->" not in line
    }


def test_shares_by_what_was_found_stand_beside_those_of_the_file_and_widen_the_lines(tree):
    marks = case_marks(record(("finding", "look", "dry")), tree, RANKING)
    drawn = {one.id: (one.share, one.now) for one in branches(tree, case=marks).all()}
    assert drawn["joint"] == (35.0, 70.0)
    assert drawn["damp"] == (35.0, 70.0)
    assert drawn["lead"] == (60.0, 20.0)
    assert drawn[NOT_LISTED] == (5.0, 10.0)
    assert "35 of 100 Now 70 of 100" in boxes(tree, marks)["n2"]
    lines = [line.strip() for line in fault_tree_dot(tree, 0.0, marks).splitlines() if "->" in line]
    assert "n0g -> n2 [penwidth=4.38]" in lines  # 0.6 at none, 6 at a hundred, straight between


def test_what_was_tried_is_said_and_has_a_broken_border(tree):
    marks = case_marks(
        record(("tried", "lead", "not-cured"), ("tried", "plug+damp", "could-not")), tree, RANKING
    )
    drawn = boxes(tree, marks)
    assert "TRIED: no better Wet lead" in drawn["n1"]
    for name in ("n3", "n4"):
        assert "TRIED: could not be done" in drawn[name]
    assert [name for name, line in drawn.items() if "style=dashed" in line] == ["n1", "n3", "n4"]


def test_what_is_as_good_as_ruled_out_has_a_dotted_border(tree):
    ranking = [
        replace(RANKING[0], share=0.991),
        replace(RANKING[1], share=0.006),
        replace(RANKING[2], share=0.003),
    ]
    drawn = boxes(tree, case_marks(record(("finding", "look", "dry")), tree, ranking))
    assert [name for name, line in drawn.items() if "style=dotted" in line] == ["n1", "n5"]
    tried = boxes(tree, case_marks(record(("tried", "lead", "not-cured")), tree, ranking))
    assert [name for name, line in tried.items() if "style=dotted" in line] == ["n5"]


def test_what_was_taken_back_was_not_tried(tree):
    marks = case_marks(record(("tried", "lead", "not-cured"), ("back", "1")), tree, RANKING)
    assert marks.notes == {}


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ({"confirmed": True, "cause": "plug+damp"}, "CONFIRMED: this was it"),
        ({"state": "cured", "points_to": "plug+damp"}, "It works since this was put right"),
    ],
)
def test_what_it_turned_out_to_be_is_said_and_has_a_heavy_border(how, says, tree):
    drawn = boxes(tree, case_marks(record(("tried", "lead", "not-cured"), **how), tree, RANKING))
    assert [name for name, line in drawn.items() if says in line] == ["n3", "n4"]
    assert [name for name, line in drawn.items() if "penwidth=3" in line] == ["n3", "n4"]


def test_it_may_turn_out_to_be_what_is_not_listed(tree):
    marks = case_marks(record(confirmed=True, cause=NOT_LISTED), tree, RANKING)
    assert "CONFIRMED" in boxes(tree, marks)["n5"]


def test_what_a_case_tried_or_found_is_never_folded(tree):
    marks = case_marks(record(("tried", "lead", "not-cured")), tree, RANKING)
    kinds = [(one.kind, one.id) for one in branches(tree, 0.9, marks).all()]
    assert ("cause", "lead") in kinds
    assert "folded" not in dict(kinds)  # the other input of the gate stands alone, and is not folded either


def test_a_stop_is_said_and_ranks_nothing(tree):
    marks = case_marks(record(("finding", "look", "scorched"), state="stopped"), tree, ())
    assert branches(tree, case=marks).now is None
    drawn = boxes(tree, marks)
    assert "Case 7: STOPPED FOR DANGER" in drawn["key"].replace("\\l", " ")
    assert "Now" not in drawn["n0"]


def test_without_a_case_nothing_is_marked(tree):
    assert fault_tree_dot(tree, 0.0, NO_CASE) == fault_tree_dot(tree)
    assert all(one.now is None and not one.note and not one.found for one in branches(tree).all())
