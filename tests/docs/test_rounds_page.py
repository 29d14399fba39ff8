"""The page about rounds: every row of the trade's list has its task, and the tables are the program's."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.rounds_page import ELSEWHERE, LIBRARY, TITLES, keys_table, number_of, tasks_table

PAGE = (Path(__file__).resolve().parent.parent.parent / "docs" / "rounds.md").read_text(encoding="utf-8")

# The list of the trade as it was handed down (common practice, no source), row by row and in its order; but
# J1 stands last, since one drives to the scale, and H1 before W15: no hob is lit on a gas check that is over.
LIST = {
    "lay-up": "P14 P18 P12 P11 P17 P16 P4 P15 P8 P7 P10 P13 P1 P3",
    "wake-up": "W1 P19 W2 W3 W4 W5 W6 W7 W8 W9 W10 W11 W12 P5 W13 W14 W15 W16 W17",
    "journey": "W4 W6 W8 J2 J3 J4 J5 J1",
    "hand-over": "P19 W3 W4 W6 W11 H1 W15 P5 H2 H3",
}


@pytest.mark.parametrize("id", LIST)
def test_every_row_of_the_list_is_a_task_of_its_round_in_the_order_of_the_list(id):
    tasks = list(LIBRARY.round(id).tasks)
    assert [number_of(task).removesuffix(" of this week") for task in tasks] == LIST[id].split()
    for row, task in zip(LIST[id].split(), tasks, strict=True):
        assert task.startswith(f"{row.lower()}-")
        shown = ELSEWHERE.get(task, row)
        assert f"| {shown} | `{task}` | " in PAGE or f"| {shown} * | `{task}` | " in PAGE


def test_a_row_is_one_task_wherever_it_stands():
    by_row: dict[str, set[str]] = {}
    for round in LIBRARY.rounds().values():
        for task in round.tasks:
            by_row.setdefault(number_of(task), set()).add(task)
    assert {row: tasks for row, tasks in by_row.items() if len(tasks) > 1} == {}
    assert len(by_row) == len({row for rows in LIST.values() for row in rows.split()}) + 1  # P5 of this week


@pytest.mark.parametrize("table", [*(tasks_table(LIBRARY.round(id)) for id in TITLES), keys_table()])
def test_the_tables_on_the_page_are_those_of_the_program(table):
    assert table in PAGE
