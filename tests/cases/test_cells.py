"""No cell that leaves the store begins a formula, and each comes back as it was."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.cells import as_it_was, disarmed

# CWE-1236 and OWASP ASVS 5.0, requirement 1.2.10: these, as the first character of a cell, begin a formula.
BEGIN_A_FORMULA = "=+-@\t\0"


@pytest.mark.parametrize("first", BEGIN_A_FORMULA)
def test_what_begins_a_formula_gets_an_apostrophe_in_front(first: str) -> None:
    cell = f"{first}cmd"
    assert disarmed(cell) == f"'{cell}"
    assert as_it_was(disarmed(cell)) == cell


@given(st.text(alphabet="=+-@\t\r\n\0'; ,|a1\uff1d", max_size=12))
def test_no_part_of_a_disarmed_cell_begins_a_formula_and_it_comes_back(cell: str) -> None:
    safe = disarmed(cell)
    parts = [safe]
    for separator in ";,\t|":  # whichever a spreadsheet takes for the one between cells
        parts = [inner for part in parts for inner in part.split(separator)]
    number = cell.lstrip("+-").replace(",", "").isdigit()
    assert number or not any(part.startswith(tuple("=+-@\r\n\0\uff1d")) for part in parts)
    assert as_it_was(safe) == cell


@given(st.floats(-1e6, 1e6).map(lambda value: f"{value:.3f}"))
def test_a_number_stays_one(number: str) -> None:
    assert disarmed(number) == number == as_it_was(number)


def test_an_everyday_apostrophe_stays() -> None:
    assert disarmed("the owner's van") == as_it_was("the owner's van") == "the owner's van"


@given(st.text(max_size=30))
def test_a_cell_comes_back_through_a_file(cell: str) -> None:
    stream = io.StringIO(newline="")
    csv.writer(stream).writerow([disarmed(cell), "next"])
    stream.seek(0)
    ((read, _),) = csv.reader(stream)
    assert as_it_was(read) == cell
