"""Mapping files: read strictly, written so that they read back the same, found again by their source."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.import_mapping import ORDERS, ImportMapping, beside, mapping_of, mapping_text, plain
from diagnose.cases.import_run import NotUnderstood, mapping_for, source_of
from diagnose.knowledge import characters
from diagnose.terms import FlawedKnowledge, WrongUsage
from tests.cases.import_histories import cases_in, history, reported, row, write

WHOLE = """
source: hire fleet
dates: day-month-year
decimal: comma
columns: {Job no: case, Day: date, Complaint: symptom, Found: cause, Van: vehicle,
          Volts: volts-at-lamp, Price: left-out}
symptoms: {Table light: lamp-dark, Oil change: left-out}
causes:
  lamp-dark: {New bulb: bulb-gone, "?": unknown, Mouse: not-listed}
answers: {volts-at-lamp: {none: dead}}
"""


FIELDS = "case, date, symptom, cause, vehicle, state, left-out"


def flaws(text):
    """What is said of a mapping's form, or else of what it names."""
    with pytest.raises(FlawedKnowledge) as found:
        history(Path("a.csv"), text).check()
    return [str(flaw) for flaw in found.value.flaws]


def test_a_spreadsheet_in_its_own_words_is_read_by_its_mapping(tmp_path):
    header = ["Job no", "Day", "Complaint", "Found", "Van", "Volts", "Price"]
    rows = [["1", "03/04/2025", "table  LIGHT", "new bulb", "van 1", "12,4", "5"],
            ["2", "03/04/2025", "Oil change", "", "van 1", "", "50"],
            ["3", "04/04/2025", "Table light", "?", "van 2", "none", ""],
            ["4", "05/04/2025", "lamp-dark", "mouse", "van 2", "", ""]]  # fmt: skip
    path = write(tmp_path / "a.csv", rows, header)
    cases = cases_in(path, WHOLE)
    assert [(case[0], case[4][:10], case[8]) for case in cases] == [
        ("1", "2025-04-03", "bulb-gone"), ("3", "2025-04-04", ""), ("4", "2025-04-05", "not-listed"),
    ]  # fmt: skip
    assert [case[9] for case in cases][:2] == [
        (("volts-at-lamp", "alive", 12.4, 0.1),), (("volts-at-lamp", "dead", None, None),)
    ]  # fmt: skip
    assert reported(path, WHOLE).left_out == 1


def test_every_flaw_of_a_mapping_is_told_with_its_place():
    text = """
sauce: fleet
dates: 3
decimal: coma
header_row: 0
columns: {A: case, B: case, C: [x]}
symptoms: fan
states: {done: curred}
causes: {lamp-dark: [x]}
source: ""
"""
    assert flaws(text) == [
        'm.yaml:2:1: key "sauce" is not known in a mapping (did you mean "source"?)',
        "m.yaml:3:8: dates wants day-month-year or month-day-year or year-month-day, not the number 3",
        'm.yaml:4:10: decimal wants point or comma, not "coma" (did you mean "comma"?)',
        "m.yaml:5:13: header_row wants the number of a row from 1 to 1000, not the number 0",
        'm.yaml:6:23: "B" is mapped to case, and so is "A"',
        'm.yaml:6:32: "C" wants one word that it means, not a list',
        'm.yaml:7:11: symptoms wants a mapping of words to what they mean, not "fan"',
        'm.yaml:8:16: "done" wants a state (cured, referred, stopped, left-off), not "curred" (did you mean '
        '"cured"?)',
        "m.yaml:9:21: lamp-dark wants a mapping of words to what they mean, not a list",
        'm.yaml:10:9: source wants a text of 100 characters at most, not ""',
    ]


def test_what_a_mapping_names_must_be_there():
    text = """
columns: {A: cause, B: switch-clik, C: fact}
symptoms: {light: lamp-drak}
causes:
  lamp-dark: {a: bulb-gonne, b: both}
  lamp-drk: {a: b}
answers:
  switch-click: {ja: upp}
  switch: {ja: up}
"""
    assert flaws(text) == [
        f'm.yaml:2:24: "switch-clik" is no field ({FIELDS}) and no check\'s id '
        '(did you mean "switch-click"?)',
        f'm.yaml:2:40: "fact" is no field ({FIELDS}) and no check\'s id',
        'm.yaml:3:19: there is no symptom "lamp-drak" (did you mean "lamp-dark"?)',
        'm.yaml:5:18: "bulb-gonne" is no cause of lamp-dark (did you mean "bulb-gone"?)',
        'm.yaml:5:33: "both" is what causes lead to, and none itself; write old-wire+damp-socket',
        'm.yaml:6:3: there is no whole tree "lamp-drk" (did you mean "lamp-dark"?)',
        'm.yaml:8:22: "upp" is no answer of switch-click (did you mean "up"?)',
        'm.yaml:9:3: there is no check "switch" (did you mean "switch-click"?)',
    ]


@pytest.mark.parametrize(
    "text", ["a: &x 1\nb: *x", "- 1", "", "source: [", "causes: {a: {b: {c: d}}}", "\x00", "source: !!str x"]
)
def test_a_mapping_is_read_as_strictly_as_a_tree(text):
    with pytest.raises(FlawedKnowledge):
        mapping_of(text, "m.yaml")


LETTERS = st.characters(exclude_categories=("C", "Z")).filter(lambda one: not characters.refused_in_text(one))
WORDS = st.lists(st.text(LETTERS, min_size=1, max_size=8), min_size=1, max_size=3).map(" ".join)


def once_each(pairs):
    """Pairs of whose words none is the same as another."""
    return {word: means for word, means in pairs.items() if [plain(w) for w in pairs].count(plain(word)) == 1}


@settings(max_examples=15)
@given(
    st.builds(
        ImportMapping,
        source=WORDS, sheet=WORDS, header_row=st.integers(1, 1000), dates=st.sampled_from(ORDERS),
        decimal=st.sampled_from(["", "comma", "point"]),
        symptoms=st.dictionaries(WORDS, WORDS, max_size=4).map(once_each),
        vehicles=st.dictionaries(WORDS, WORDS, max_size=4).map(once_each),
        causes=st.dictionaries(
            st.sampled_from(["lamp-dark", "fan-still"]),
            st.dictionaries(WORDS, WORDS, min_size=1, max_size=3).map(once_each).filter(bool),
        ),
    )
)  # fmt: skip
def test_a_mapping_that_was_written_reads_back_as_the_same(mapping):
    read = mapping_of(mapping_text(mapping, "fleet\n.csv"), "m.yaml")
    for key in ("source", "sheet", "header_row", "dates", "decimal", "symptoms", "vehicles", "causes"):
        assert getattr(read, key) == getattr(mapping, key), key


def test_a_mapping_is_found_again_beside_the_file_by_its_source(tmp_path):
    kept = tmp_path / "hire fleet.mapping.yaml"
    kept.write_text("source: hire fleet\n", encoding="utf-8")
    assert mapping_for(tmp_path / "fleet-2027.csv", None, "hire fleet").source == "hire fleet"
    assert mapping_for(tmp_path / "fleet-2027.csv", None, "") is None
    assert mapping_for(tmp_path / "hire fleet.xlsx", None, "").source == "hire fleet"
    assert mapping_for(tmp_path / "x.csv", kept, "").source == "hire fleet"
    with pytest.raises(FlawedKnowledge, match="there is no such file"):
        mapping_for(tmp_path / "x.csv", tmp_path / "none.yaml", "")


def test_the_place_of_a_mapping_stays_in_its_folder():
    assert beside(Path("/in/a.csv"), "../../etc/passwd") == Path("/in/-..-etc-passwd.mapping.yaml")
    assert beside(Path("/in/a.csv"), "/") == Path("/in/-.mapping.yaml")


def test_the_source_is_the_one_given_else_the_mappings_else_the_files_name():
    file = Path("in/fleet.csv")
    assert source_of(file, "mine", ImportMapping(source="theirs")) == "mine"
    assert source_of(file, "", ImportMapping(source="theirs")) == "theirs"
    assert source_of(file, "", ImportMapping()) == "fleet.csv"
    for bad in ("a\x07", "x" * 101):
        with pytest.raises(WrongUsage, match="a source is a name of 100 letters at most"):
            source_of(file, bad, None)


def test_columns_that_are_missing_near_or_unknown(tmp_path):
    path = write(tmp_path / "a.csv", [], ["Case", "symptons", "switch click", "price", "volts_at_lamp"])
    with pytest.raises(NotUnderstood) as found:
        history(path).check()
    assert [str(flaw) for flaw in found.value.flaws] == [
        "a.csv:1:1: no column is the date (date)",
        "a.csv:1:1: no column is the symptom (symptom)",
        'a.csv:1:2: column "symptons" is nearly "symptom"; name it so, or map it (or left-out)',
    ]
    path = write(tmp_path / "b.csv", [], ["case", "date", "symptom", "price", "Reason"])
    assert reported(path).unread == ("price",)


def test_two_columns_of_one_check_are_told(tmp_path):
    path = write(
        tmp_path / "a.csv", [row()[:5]], ["case", "date", "symptom", "switch-click", "Switch Click "]
    )
    with pytest.raises(NotUnderstood, match="two columns are switch-click"):
        history(path).check()
