"""Laws of reading: what was written reads back, and any text at all is read or refused, never more."""

from __future__ import annotations

import csv
import json
import tempfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from diagnose.cases.import_refused import RefusedRows
from diagnose.terms import FlawedKnowledge
from tests.cases.import_histories import GOOD, HEADER, cases_in, history, row, write

LABEL = st.text(
    st.characters(exclude_categories=("C", "Z"), exclude_characters="="), min_size=1, max_size=20
).filter(lambda text: not text.startswith("'"))
CELL = st.text(st.characters(exclude_categories=("Cs",)), max_size=40) | st.sampled_from(
    ["=1+1", "'=1", "-1", "03/04/2025", "lamp-dark", "bulb-gone", "12,4", "1e999", "\x00", "\r\n", '"', ";"]
)
ANSWERS = st.sampled_from(["", "up", "down", "not-sure"])
GOOD_ROWS = st.lists(
    st.tuples(
        LABEL, st.dates(min_value=date(1950, 1, 1), max_value=date(2026, 2, 1)),
        st.sampled_from(["lamp-dark", "fan-still"]),
        st.sampled_from(["", "bulb-gone", "old-wire+damp-socket", "not-listed"]),
        st.sampled_from(["cured", "referred", "stopped", "left-off"]), ANSWERS,
    ),
    min_size=1, max_size=6, unique_by=lambda each: each[0],
)  # fmt: skip


@pytest.mark.parametrize("kind", [".csv", ".xlsx", ".jsonl"])
@settings(max_examples=12)
@given(GOOD_ROWS)
def test_what_was_written_reads_back_as_it_was(kind, rows):
    with tempfile.TemporaryDirectory() as folder:
        cells = [
            row(case=number, date=day.isoformat(), symptom=symptom, cause=cause, state=state,
                switch_click=answer, volts_at_lamp="", vehicle="")
            for number, day, symptom, cause, state, answer in rows
        ]  # fmt: skip
        cases = cases_in(write(Path(folder) / f"a{kind}", cells))
    assert [(case[0], case[4][:10], case[1], case[8], case[3]) for case in cases] == [
        (number, day.isoformat(), symptom, cause, state) for number, day, symptom, cause, state, _ in rows
    ]
    assert [dict(finding[:2] for finding in case[9]) for case in cases] == [
        {"switch-click": answer} if answer else {} for *_, answer in rows
    ]


@settings(max_examples=40)
@given(
    st.lists(st.lists(CELL, min_size=8, max_size=8), min_size=1, max_size=3),
    st.sampled_from([".csv", ".jsonl"]),
)
@example([["=cmd", *GOOD[1:]]], ".csv")
def test_any_text_in_any_cell_is_read_or_refused_with_its_place(rows, kind):
    with tempfile.TemporaryDirectory() as folder:
        report, spool = history(write(Path(folder) / f"a{kind}", rows)).read()
        spool.close()
    assert report.rows == report.good + report.kept_out + report.left_out + report.repeated
    assert len(report.flaws) >= report.kept_out
    for flaw, _ in report.flaws:
        assert flaw.line >= (2 if kind == ".csv" else 1)
        assert 1 <= flaw.column <= 9
        assert flaw.message
        assert "\n" not in flaw.message


@settings(max_examples=30)
@given(st.binary(max_size=300), st.sampled_from([".csv", ".jsonl", ".xlsx"]), st.booleans())
def test_any_bytes_at_all_are_read_or_refused(data, kind, headed):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"a{kind}"
        path.write_bytes((b"case,date,symptom\n" if headed else b"") + data)
        counted, told = None, ()
        try:
            report, spool = history(path).read()
            spool.close()
            counted = report.good + report.kept_out + report.left_out + report.repeated == report.rows
        except FlawedKnowledge as refused:
            told = refused.flaws
    assert counted or told


@settings(max_examples=25)
@given(st.lists(st.lists(CELL, min_size=8, max_size=8), min_size=1, max_size=3))
@example([['=HYPERLINK("http://x")', "+1", "-x", "@y", "'=z", "-3.5", "", ""]])
def test_refused_rows_come_back_as_they_were_and_nothing_in_them_is_computed(rows):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        for kind in (".csv", ".jsonl"):
            out = RefusedRows(path / f"out{kind}", HEADER, path / f"in{kind}")
            for number, cells in enumerate(rows, 2):
                out.add(number, cells, "=why")
            assert out.finish()
        with (path / "out.csv").open(encoding="utf-8-sig", newline="") as stream:
            header, *kept = list(csv.reader(stream))
        lines = (path / "out.jsonl").read_text(encoding="utf-8").split("\n")[:-1]
    assert header == [*HEADER, "reason"]
    from diagnose.cases.cells import as_it_was

    for cells, line, told in zip(rows, kept, lines, strict=True):
        assert [as_it_was(cell) for cell in line[:-1]] == [as_it_was(cell) for cell in cells]
        assert not any(cell[:1] in ("=", "@") for cell in line)
        assert {key: cell for key, cell in json.loads(told).items() if key != "reason"} == {
            key: cell for key, cell in zip(HEADER, cells, strict=True) if cell
        }
