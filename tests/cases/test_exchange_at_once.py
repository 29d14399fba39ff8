"""Several people at one store at once: confirming, forgetting, giving out and merging, and nothing is lost.

Each is a process of its own. Sums are rows that all of them change, so this is also where two could wait
for each other for ever: each takes the cases first, then the sums, table after table, each in one order.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from pathlib import Path
from subprocess import Popen
from typing import Any

import pytest

from diagnose.cases.checking import differences, mend
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.exchange_reading import read_export
from diagnose.cases.forgetting import forget
from diagnose.cases.merging import merge, standing
from diagnose.cases.store import CaseStore, open_store
from tests.cases.at_one_store import NOON, confirmed, work

Run = Callable[..., "Popen[str]"]

WHO = ("confirms", "confirms", "forgets", "exports", "merges", "checks")

AS_A_PROCESS = """
import json, sys
from tests.cases.at_one_store import work
url, who, rounds = sys.argv[1:]
print(json.dumps(work(url, who, int(rounds))))
"""


def nothing_is_lost(store: CaseStore, made: list[Any], rounds: int) -> None:
    """What has to hold when everybody has done their rounds; `made` are the exports."""
    assert [number for number, _ in made] == list(range(1, rounds + 1))
    assert len({digest for _, digest in made}) == rounds
    tally = store.tally("hob", NOON)
    assert tally.causes == {"x": 2.0 * rounds + 2 * rounds}  # two who confirm, two that were merged
    assert tally.answers == {("x", check, "yes"): 2.0 * rounds for check in ("flame", "volts")}
    assert [(each.number, each.confirmed) for each in standing(store)] == [(rounds, rounds)] * 2
    assert [case.vehicle for case in store.cases()] == ["kept"] * 2 * rounds
    with store.reading() as connection:
        assert differences(connection) == ()


def test_confirming_forgetting_giving_out_merging_and_checking_at_once(url: str) -> None:
    with open_store(url) as store:
        done: dict[int, list[object]] = {}
        both_at_once(*(lambda n=n, who=who: done.update({n: work(url, who, 3)}) for n, who in enumerate(WHO)))  # type: ignore[misc]
        nothing_is_lost(store, done[WHO.index("exports")], 3)


@pytest.mark.long
def test_the_same_as_processes_and_many_times(url: str, run: Run) -> None:
    with open_store(url) as store:
        processes = [run(AS_A_PROCESS, url, who, "30") for who in WHO]
        said = [process.communicate(timeout=110) for process in processes]
        assert [error for _, error in said] == [""] * len(WHO)
        nothing_is_lost(store, json.loads(said[WHO.index("exports")][0]), 30)


def both_at_once(*deeds: Callable[[], object]) -> None:
    """Runs the deeds in threads that begin together; raises what any of them raised."""
    ready = threading.Barrier(len(deeds))
    raised: list[BaseException] = []

    def do(deed: Callable[[], object]) -> None:
        ready.wait()
        try:
            deed()
        except BaseException as error:
            raised.append(error)

    threads = [threading.Thread(target=do, args=(deed,)) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    if raised:
        raise raised[0]


def test_many_causes_forgotten_and_moved_at_once_never_wait_for_each_other_for_ever(url: str) -> None:
    with open_store(url) as store, open_store(url) as other:
        first, second = confirmed(store, "abcde"), confirmed(store, "edcba")

        def move() -> None:
            for case, cause in zip(second, "abcde", strict=True):
                other.confirm(case, cause, NOON)

        both_at_once(lambda: forget(store, reversed(first)), move)
        both_at_once(lambda: forget(store, second), lambda: mend(other))
        with store.reading() as connection:
            assert differences(connection) == ()
        assert store.cases() == ()
        assert store.tally("hob", NOON).causes == {}


def test_two_who_give_out_at_once_have_two_numbers(url: str) -> None:
    with open_store(url) as store, open_store(url) as other:
        confirmed(store, "ab")
        made: list[Export] = []
        for _ in range(3):
            both_at_once(*(lambda at=at: made.append(make_export(at, 2026)[0]) for at in (store, other)))  # type: ignore[misc]
        assert sorted(each.number for each in made) == list(range(1, 7))
        assert len({each.digest for each in made}) == 6


def test_two_who_merge_at_once_leave_the_higher_number_whole(url: str) -> None:
    def theirs(number: int) -> Export:
        rows = tuple((f"s{n:03d}", "x", 2026, "cured", number) for n in range(80))
        return Export("00c0ffee00c0ffee", number, rows)

    with open_store(url) as store, open_store(url) as other:
        for number in range(1, 5, 2):
            both_at_once(
                lambda number=number: merge(store, [("f", theirs(number))], NOON),  # type: ignore[misc]
                lambda number=number: merge(other, [("g", theirs(number + 1))], NOON),  # type: ignore[misc]
            )
            (stands,) = standing(store)
            assert (stands.number, stands.confirmed) == (number + 1, 80 * (number + 1))


def test_what_a_reader_on_a_server_sees_stays_of_one_moment(url: str) -> None:
    with open_store(url) as store, open_store(url) as other:
        confirmed(store, "a")
        with store.reading() as connection:
            before = connection.exec_driver_sql("SELECT sum(total) FROM cause_sums").scalar()
            confirmed(other, "b")
            assert connection.exec_driver_sql("SELECT sum(total) FROM cause_sums").scalar() == before == 1
            assert differences(connection) == ()


KILLED_WHILE_GIVING_OUT = """
import os, signal, sys
from pathlib import Path
from diagnose.cases import exchange_making
from diagnose.cases.store import open_store
url, target, when = sys.argv[1:]
def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)
if when == "before the number is kept":
    exchange_making.read_export = die
with open_store(url) as store:
    made, _ = exchange_making.make_export(store, 2026)
    if when == "before the file has its name":
        Path.replace = die
    exchange_making.write_export(made, Path(target))
"""


def test_killed_while_giving_out_no_number_is_lost(sqlite_url: str, run: Run, tmp_path: Path) -> None:
    killed(sqlite_url, run, tmp_path, "before the number is kept", next_number=1)


def test_killed_while_writing_no_number_is_used_twice(sqlite_url: str, run: Run, tmp_path: Path) -> None:
    killed(sqlite_url, run, tmp_path, "before the file has its name", next_number=2)


def killed(url: str, run: Run, tmp_path: Path, when: str, next_number: int) -> None:
    """Gives out an export in a process that is killed; no half of a file stands then."""
    with open_store(url) as store:
        confirmed(store, "ab")
        target = tmp_path / "out" / "sums.json"
        target.parent.mkdir()
        process = run(KILLED_WHILE_GIVING_OUT, url, str(target), when)
        assert process.communicate(timeout=60) == ("", "")
        assert process.returncode == -9
        assert not target.exists()
        made = make_export(store, 2026)[0]
        assert made.number == next_number
        assert read_export(made.text().encode(), "f", 2026).confirmed == 2
