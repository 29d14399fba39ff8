"""Several programs at one store, as processes of their own, and programs that are killed."""

from __future__ import annotations

import random
import signal
from collections.abc import Callable
from datetime import UTC, datetime
from subprocess import Popen

import pytest

from diagnose.cases.store import open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
Run = Callable[..., "Popen[str]"]

APPEND_AND_CONFIRM = """
import sys
from datetime import UTC, datetime
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
url, name, shared, rounds = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
now = datetime(2026, 3, 1, 12, tzinfo=UTC)
with open_store(url) as store:
    for n in range(rounds):
        store.append(shared, Entry(now, "finding", f"{name}-{n}", "yes"))
        own = store.open_case("hob", "d", "owner", name, now)
        store.append(own, Entry(now, "finding", "a", "yes"))
        store.confirm(own, "x", now)
        store.confirm(shared, ("x", "y", name)[n % 3], now)
"""


def test_two_programs_at_once_lose_and_double_nothing(url: str, run: Run) -> None:
    rounds = 15
    with open_store(url) as store:
        shared = store.open_case("hob", "d", "owner", "shared", NOON)
        processes = [
            run(APPEND_AND_CONFIRM, url, name, str(shared), str(rounds)) for name in ("left", "right")
        ]
        for process in processes:
            assert process.communicate(timeout=60) == ("", "")
        journal = store.case(shared).entries
        assert [line.number for line in journal] == list(range(1, 2 * rounds + 1))
        for name in ("left", "right"):
            own = [line.subject for line in journal if line.subject.startswith(name)]
            assert own == [f"{name}-{n}" for n in range(rounds)]
        tally = store.tally("hob", NOON)
        assert tally.total == 2 * rounds + 1
        assert tally.causes["x"] >= 2 * rounds
        assert tally.answers["x", "a", "yes"] == 2 * rounds
        last = store.case(shared).cause
        counted = {key[0] for key in tally.answers if key[1] != "a"}
        assert counted == {last}


OPEN_AT_ONCE = """
import sys
from datetime import UTC, datetime
from diagnose.cases.store import open_store
with open_store(sys.argv[1]) as store:
    print(store.open_case("hob", "d", "owner", "", datetime(2026, 3, 1, 12, tzinfo=UTC)))
"""


def test_a_store_that_many_programs_make_at_once_is_one_store(url: str, run: Run) -> None:
    processes = [run(OPEN_AT_ONCE, url) for _ in range(3)]
    printed = [process.communicate(timeout=60) for process in processes]
    assert [error for _, error in printed] == [""] * 3
    assert sorted(number.strip() for number, _ in printed) == ["1", "2", "3"]
    with open_store(url) as store:
        assert len(store.cases()) == 3


WRITE_UNTIL_KILLED = """
import itertools, sys
from datetime import UTC, datetime
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
now = datetime(2026, 3, 1, 12, tzinfo=UTC)
with open_store(sys.argv[1]) as store:
    for n in itertools.count():
        case = store.open_case("hob", "d", "owner", "", now)
        print("opened", case, flush=True)
        for check in "abc":
            line = store.append(case, Entry(now, "finding", check, "yes"))
            print("kept", case, line.number, flush=True)
        store.confirm(case, "x", now)
        print("confirmed", case, flush=True)
        store.confirm(case, "y", now)
        print("moved", case, flush=True)
"""


@pytest.mark.parametrize("seed", range(2))
def test_a_program_killed_at_any_moment_loses_nothing_that_it_had_acknowledged(
    url: str, run: Run, seed: int
) -> None:
    process = run(WRITE_UNTIL_KILLED, url)
    assert process.stdout is not None
    chance = random.Random(seed)
    said = [process.stdout.readline() for _ in range(chance.randrange(5, 60))]
    process.send_signal(signal.SIGKILL)
    said += process.stdout.readlines()
    process.wait(30)
    assert process.stderr is not None
    assert process.stderr.read() == ""
    process.stdout.close()
    process.stderr.close()
    words = [line.split() for line in said if line.endswith("\n")]
    with open_store(url) as store:
        cases = {case.case: case for case in store.cases()}
        for kind, case, *line in words:
            kept = cases[int(case)]
            assert kind != "kept" or kept.entries[int(line[0]) - 1].number == int(line[0])
            assert kind != "confirmed" or kept.confirmed
            assert kind != "moved" or kept.cause == "y"
        # At most the one step that was not yet acknowledged may stand beyond what was.
        assert len(cases) - len({case for _, case, *_ in words}) in (0, 1)
        confirmed = [case for case in cases.values() if case.confirmed]
        tally = store.tally("hob", NOON)
        for cause in ("x", "y"):
            assert tally.causes.get(cause, 0.0) == sum(case.cause == cause for case in confirmed)
            assert tally.answers.get((cause, "a", "yes"), 0.0) == tally.causes.get(cause, 0.0)


MAKE_SLOWLY = """
import os, signal, sys
from diagnose.cases import versions
def then_die(*_):
    os.kill(os.getpid(), signal.SIGKILL)
versions._note = then_die
from diagnose.cases.store import open_store
open_store(sys.argv[1])
"""


def test_a_store_whose_making_was_killed_is_made_at_the_next_start(url: str, run: Run) -> None:
    process = run(MAKE_SLOWLY, url)
    assert process.communicate(timeout=30) == ("", "")
    assert process.returncode == -signal.SIGKILL
    with open_store(url) as store:
        assert store.open_case("hob", "d", "owner", "", NOON) == 1
