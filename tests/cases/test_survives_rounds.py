"""Rounds survive too: who is killed while marking leaves whole marks, and none that was told is lost."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime

import pytest

from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import open_store

MARKING = """
import sys
from datetime import UTC, datetime
from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import begin_round, note
from diagnose.cases.store import open_store

with open_store(sys.argv[1]) as store:
    now = datetime.now(UTC)
    number = begin_round(store, "journey", "d", "van 7", "A.", now).number
    for at in range(100_000):
        note(store, number, [RoundLine(now, "mark", f"{which}-{at}", "fine") for which in ("one", "other")])
        print(at, flush=True)
"""


@pytest.mark.long
@pytest.mark.parametrize("told", [1, 7])
def test_who_is_killed_between_two_marks_of_one_list_leaves_both_or_none(url: str, told: int) -> None:
    marking = subprocess.Popen([sys.executable, "-c", MARKING, url], stdout=subprocess.PIPE, text=True)
    assert marking.stdout is not None
    heard = [next(marking.stdout) for _ in range(told)]
    marking.kill()
    heard += marking.stdout.read().split()
    marking.wait()
    with open_store(url) as store:
        (record,) = rounds_kept(store)
    assert [line.number for line in record.lines] == list(range(1, len(record.lines) + 1))
    assert len(record.lines) % 2 == 0
    assert len(heard) <= len(record.lines) / 2 <= len(heard) + 1
    assert record.begun <= datetime.now(UTC)
