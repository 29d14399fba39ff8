"""Whatever stands in a sheet, reading it ends: in a tree, or in flaws that each stand at a cell of it."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.knowledge.collection import Library
from diagnose.revising.drafting import drafted
from diagnose.revising.sheet_of_causes import placed_in_sheet, read_sheet
from diagnose.revising.sheet_of_causes_rows import COLUMNS, TAKES
from diagnose.terms import FlawedKnowledge

AWNING = Path(__file__).resolve().parents[2] / "docs" / "awning-stuck.csv"
COMMON = Library().common()
ROWS = list(csv.reader(AWNING.read_text(encoding="utf-8").splitlines()))
CELLS = st.sampled_from(
    ["", "gas", "none", "3", "-1", "1e9", "arm-bent", "held-outside", "yes", "refer: workshop", "see: x",
     "any_of", "=1", "\x1b[31m", "\u202e", "a: b; a: c", ";", ":", "tools", "owner", "loosen it", "'", '"',
     "{}", "x" * 700, *TAKES]
)  # fmt: skip


def judged(file):
    """Every flaw of a sheet, and the tree if it has none."""
    try:
        draft, flaws = read_sheet(file, "s.csv", COMMON)
    except FlawedKnowledge as error:
        return error.flaws, None
    found = drafted(draft, "x", "x.yaml", COMMON, frozenset())
    return (*flaws, *placed_in_sheet(found.flaws, found.places, "s.csv")), found.tree


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    st.lists(st.tuples(st.integers(0, len(ROWS) - 1), st.integers(0, len(ROWS[0]) - 1), CELLS), max_size=5)
)
def test_a_sheet_with_any_cells_ends_in_a_tree_or_in_flaws_at_its_cells(tmp_path, changes):
    rows = [list(row) for row in ROWS]
    for row, column, text in changes:
        rows[row][column] = text
    file = tmp_path / "s.csv"
    with file.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    flaws, tree = judged(file)
    assert (tree is not None) or flaws
    for flaw in flaws:
        assert re.fullmatch(r"s\.csv:\d+:\d+: [^\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]+", str(flaw))
        assert 1 <= flaw.line <= len(rows)
        assert 1 <= flaw.column <= len(rows[0])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_any_bytes(tmp_path, data):
    file = tmp_path / "s.csv"
    file.write_bytes(data)
    assert judged(file)[0]


def test_events_may_stand_in_any_order_and_none_below_itself(tmp_path):
    file = tmp_path / "s.csv"
    file.write_text("row,id,says,under\nevent,a,A,b\nevent,b,B,c\nevent,c,C,b\n", encoding="utf-8")
    said = [str(flaw) for flaw in judged(file)[0] if "itself" in flaw.text]
    assert said == ['s.csv:3:4: "b" stands below itself']


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("s.jsonl", "s.csv:1:1: is no kind of sheet that is read here; save it as .csv or .xlsx"),
        ("s.csv", 's.csv:1:1: the first row lacks the column "row", which says what a row is'),
    ],
)
def test_what_is_no_sheet_of_causes(tmp_path, name, said):
    (tmp_path / name).write_text("id,says\nx,y\n", encoding="utf-8")
    assert str(judged(tmp_path / name)[0][0]) == said


def test_the_awning_uses_known_columns_and_ids_of_checks_alone():
    checks = {row[1] for row in ROWS if row[0] == "check"}
    assert set(ROWS[0]) <= {*COLUMNS, *checks}
    assert checks <= set(ROWS[0])
