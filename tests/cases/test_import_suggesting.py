"""What is suggested for somebody's words, and that what is remembered of them stays within bounds."""

from __future__ import annotations

import pytest

from diagnose.cases import import_meanings
from diagnose.cases.import_mapping import mapping_of
from diagnose.cases.import_meanings import Meanings
from diagnose.cases.import_suggesting import columns_hint, suggested_field, suggestions, words_hint
from diagnose.knowledge.collection import Library
from tests.cases.import_histories import history, reported, row, write


@pytest.mark.parametrize(
    ("name", "field"),
    # What job histories call their columns: common practice, no source.
    [("Job No.", "case"), ("Date In", "date"), ("Complaint", "symptom"), ("Reported fault", "symptom"),
     ("Diagnosis", "cause"), ("Van", "vehicle"), ("Status", "state"), ("Price", ""), ("Remarks", "")],
)  # fmt: skip
def test_likely_columns(name, field):
    assert suggested_field(name) == field


def test_a_field_is_suggested_once():
    assert columns_hint(["Job no", "Order no", "date"]) == [
        "columns:", '  "Job no": case', '  "Order no": left-out', '  "date": date',
    ]  # fmt: skip


def test_the_nearest_symptoms_of_the_shipped_trees():
    from diagnose.cases.import_suggesting import near_symptoms

    headings = Library().headings()
    for words, id in (
        ("Pump dead", "water-pump"),
        ("fridge warm", "absorption-fridge"),
        ("damp", "damp-musty"),
    ):
        assert id in near_symptoms(words, headings, 5)


def test_the_hint_is_a_mapping_with_the_nearest_filled_in(tmp_path):
    rows = [
        row(symptom="lamp stays darkk"),
        row(case="2", cause="bulb has gone off"),
        row(case="3", switch_click="dwn"),
    ]
    path = write(tmp_path / "a.csv", rows)
    asked = history(path)
    report, spool = asked.read()
    spool.close()
    lines = words_hint(asked, report)
    read = mapping_of("\n".join(lines), "m.yaml")
    assert read.symptoms == {"lamp stays darkk": "lamp-dark"}
    assert read.causes == {"lamp-dark": {"bulb has gone off": "bulb-gone"}}
    assert read.answers == {"switch-click": {"dwn": "down"}}
    assert reported(path, "\n".join(lines)).good == 3


def test_suggestions_hold_the_ways_out(tmp_path):
    asked = history(write(tmp_path / "a.csv", []))
    assert suggestions(asked, "symptoms", "", "x")[-1] == "left-out"
    assert suggestions(asked, "causes", "lamp-dark", "x")[-2:] == ["not-listed", "unknown"]
    assert suggestions(asked, "answers", "switch-click", "dwn") == ["down", "up", "not-sure"]
    assert suggestions(asked, "states", "", "x") == ["cured", "referred", "stopped", "left-off"]


def test_what_is_remembered_of_cells_stays_within_bounds(monkeypatch):
    monkeypatch.setattr(import_meanings, "_MOST_KEPT", 10)
    looked = []
    meanings = Meanings(lambda text: looked.append(text) or text.upper())
    for n in range(100):
        assert meanings[f"w{n}"] == f"W{n}"
    assert len(meanings) <= 10
    assert meanings["w99"] == "W99"
    assert len(looked) == 100
    assert meanings["x" * 201] == "X" * 201
    assert "x" * 201 not in meanings
