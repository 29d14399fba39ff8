"""A program killed (SIGKILL) at any moment of any deed: what it had acknowledged stands, and counts once.

Each deed runs in a process of its own that is killed at moments drawn from a seed, all over its length.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest

from diagnose.cases.addresses import address_of
from diagnose.cases.arriving import take_in
from diagnose.cases.bulk import write_cases
from diagnose.cases.copying import NotCopied, copy_store, put_back
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export, write_export
from diagnose.cases.exchange_reading import load_export
from diagnose.cases.forgetting import clear_traces, forget
from diagnose.cases.merging import merge, standing, take_out
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.stamp import VERSION
from diagnose.cases.store import CaseStore, open_store
from diagnose.cases.tables import case_store
from tests.cases.faults import Killer, Say, is_right, opened_and_right
from tests.cases.import_histories import history, row, write
from tests.cases.test_older_stores import restored

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ORIGIN = "00c0ffee00c0ffee"
FEW, MANY, ROWS = 2, 6, 160
MANY_ROUNDS = pytest.mark.parametrize("rounds", [pytest.param(MANY, marks=pytest.mark.long)])
ROUNDS = pytest.mark.parametrize("rounds", [FEW, pytest.param(MANY, marks=pytest.mark.long)])


def confirmed(store: CaseStore, number: int, cause: str = "grit") -> list[int]:
    made = []
    for _ in range(number):
        case = store.open_case("hob", "d", "owner", "van", NOON)
        store.append(case, Entry(NOON, "finding", "flame", "weak"))
        store.confirm(case, cause, NOON)
        made.append(case)
    return made


@ROUNDS
def test_an_import_is_there_or_not(url: str, tmp_path: Path, rounds: int) -> None:
    rows = [row(case=f"J{n}", cause=("bulb-gone", "")[n % 2]) for n in range(ROWS)]
    path = write(tmp_path / "fleet.csv", rows)
    killer, sources = Killer(1), count(1)

    def bring_in(source: str, say: Say) -> None:
        with open_store(url) as store:
            _, spool = history(path).read()
            say(write_cases(store, source, spool, NOON).added)
            spool.close()

    open_store(url).close()
    killer.let_be(lambda say: bring_in("whole", say))
    for _ in range(rounds):
        source = f"source {next(sources)}"
        said = killer.kill(lambda say, source=source: bring_in(source, say))  # type: ignore[misc]
        with opened_and_right(url) as store:
            here = sum(case.source == source for case in store.cases())
            assert here == ROWS if said else here in (0, ROWS)
            before = store.tally("lamp-dark", NOON).total
            _, spool = history(path).read()
            again = write_cases(store, source, spool, NOON)
            spool.close()
            assert (again.added, again.already, again.differ) == (ROWS - here, here, 0)
            assert store.tally("lamp-dark", NOON).total == before + (ROWS - here) / 2
            is_right(store)
            forget(store, [case.case for case in store.cases()])
    assert killer.killed


@ROUNDS
def test_confirming_putting_right_ending_and_taking_up_again(url: str, rounds: int) -> None:
    killer = Killer(2)

    def work(say: Say) -> None:
        with open_store(url) as store:
            for _ in range(6):
                (case,) = confirmed(store, 1)
                say(f"{case} grit open")
                store.end_case(case, "referred", NOON)
                say(f"{case} grit referred")
                store.confirm(case, "frost", NOON)
                say(f"{case} frost referred")
                store.reopen(case, NOON)
                say(f"{case} frost open")

    killer.let_be(work)
    acknowledged: dict[int, list[tuple[str, str]]] = {}
    for _ in range(rounds):
        for line in killer.kill(work):
            case, *told = line.split()
            acknowledged.setdefault(int(case), []).append(tuple(told))
        with opened_and_right(url) as store:
            kept = {case.case: case for case in store.cases()}
            steps = [("grit", "open"), ("grit", "referred"), ("frost", "referred"), ("frost", "open")]
            for case, said in acknowledged.items():
                # As far as was acknowledged, or one step further.
                assert (kept[case].cause, kept[case].state) in steps[len(said) - 1 : len(said) + 1]
    assert killer.killed


@ROUNDS
def test_an_older_store_is_brought_up_to_date_or_as_it_was(
    url: str, fresh_url: Callable[[str], str], tmp_path: Path, rounds: int
) -> None:
    killer = Killer(3)

    def up_to_date(place: str, say: Say) -> None:
        with open_store(place):
            say(VERSION)

    restored(url, 1)
    killer.let_be(lambda say: up_to_date(url, say))
    for _ in range(rounds):
        place = restored(fresh_url(url), 1)
        killer.kill(lambda say, place=place: up_to_date(place, say))  # type: ignore[misc]
        with opened_and_right(place) as store:
            assert [case.case for case in store.cases(oldest_first=True)] == [1, 2, 3, 4, 5, 6, 7]
            assert store.tally("water-pump", NOON).causes == {"pump-fuse": 1.0, "pump-worn": 1.0}
            assert len(store.origin) == 16
            with store.reading() as connection:
                versions = list(connection.scalars(case_store.select().order_by(case_store.c.version)))
            assert versions == list(range(1, VERSION + 1))
    assert killer.killed


@MANY_ROUNDS
def test_a_new_store_is_made_at_the_next_start(
    url: str, fresh_url: Callable[[str], str], rounds: int
) -> None:
    killer = Killer(4)

    def make(place: str, say: Say) -> None:
        with open_store(place) as store:
            say(store.open_case("hob", "d", "owner", "", NOON))

    killer.let_be(lambda say: make(url, say))
    for _ in range(rounds):
        place = fresh_url(url)
        said = killer.kill(lambda say, place=place: make(place, say))  # type: ignore[misc]
        with opened_and_right(place) as store:
            assert len(store.cases()) == 1 if said else len(store.cases()) in (0, 1)
    assert killer.killed


@MANY_ROUNDS
def test_an_export_is_whole_and_its_number_is_used_once(url: str, tmp_path: Path, rounds: int) -> None:
    target, killer = tmp_path / "out" / "sums.json", Killer(5)
    target.parent.mkdir()

    def give_out(say: Say) -> None:
        with open_store(url) as store:
            for _ in range(4):
                confirmed(store, 1)
                made, _ = make_export(store, 2026)
                write_export(made, target)
                say(f"{made.number} {made.digest}")

    digests = dict(line.split() for line in killer.let_be(give_out))
    for _ in range(rounds):
        for line in killer.kill(give_out):
            number, digest = line.split()
            assert number not in digests
            digests[number] = digest
        written = load_export(target, 2026)  # raises for half a file
        assert digests.setdefault(str(written.number), written.digest) == written.digest
        with opened_and_right(url) as store:
            made, _ = make_export(store, 2026)
            assert made.number > max(map(int, digests))
            digests[str(made.number)] = made.digest
    assert killer.killed


@MANY_ROUNDS
def test_merging_and_taking_out_again(url: str, rounds: int) -> None:
    def theirs(number: int) -> Export:
        rows = tuple((f"s{n:03d}", "grit", 2026, "cured", number) for n in range(100))
        answers = tuple((f"s{n:03d}", "grit", "flame", "weak", 2026, "cured", number) for n in range(100))
        return Export(ORIGIN, number, rows, answers)

    numbers, killer = count(1), Killer(6)

    def work(first: int, say: Say) -> None:
        with open_store(url) as store:
            for number in (first, first + 1):
                merge(store, [("f", theirs(number))], NOON)
                say(number)
            take_out(store, ORIGIN)
            say(0)

    killer.let_be(lambda say: work(1, say))
    for _ in range(rounds):
        first = 10 * next(numbers)
        with open_store(url) as store:
            before = [each.number for each in standing(store)]
        said = killer.kill(lambda say, first=first: work(first, say))  # type: ignore[misc]
        with opened_and_right(url) as store:
            stands = {each.origin: each for each in standing(store)}.get(ORIGIN)
            steps = [*(before or [0]), first, first + 1, 0]
            assert (stands.number if stands else 0) in steps[len(said) : len(said) + 2]
            total = stands.number if stands else 0
            for symptom in ("s000", "s099"):
                assert store.tally(symptom, NOON).total == total
                assert sum(store.tally(symptom, NOON).answers.values()) == total
            assert sum(each.confirmed for each in standing(store)) == 100 * total
    assert killer.killed


@MANY_ROUNDS
def test_forgetting_takes_whole_cases_and_what_was_forgotten_stays_so(url: str, rounds: int) -> None:
    killer = Killer(7)
    with open_store(url) as store:
        first = confirmed(store, 4)

    def work(cases: list[int], say: Say) -> None:
        with open_store(url) as store:
            for case in cases:
                forget(store, [case])
                say(case)
            clear_traces(store)

    killer.let_be(lambda say: work(first, say))
    for _ in range(rounds):
        with open_store(url) as store:
            forget(store, [case.case for case in store.cases()])
            cases = confirmed(store, 4)
        said = killer.kill(lambda say, cases=cases: work(cases, say))  # type: ignore[misc]
        with opened_and_right(url) as store:
            left = [case.case for case in store.cases(oldest_first=True)]
            assert left in (cases[len(said) :], cases[len(said) + 1 :])
            assert store.tally("hob", NOON).total == len(left)
    assert killer.killed


@MANY_ROUNDS
def test_a_case_that_comes_by_its_code_counts_once_however_often_it_is_tried(url: str, rounds: int) -> None:
    killer = Killer(8)

    def work(first: int, say: Say) -> None:
        with open_store(url) as store:
            for number in range(first, first + 5):
                here = CaseRecord(
                    0, "hob", "d", "owner", "referred", NOON, NOON, source="c0de", source_case=str(number)
                )
                say(take_in(store, here, "grit", NOON).source_case)

    killer.let_be(lambda say: work(0, say))
    for round_ in range(1, rounds + 1):
        said = killer.kill(lambda say, round_=round_: work(5 * round_, say))  # type: ignore[misc]
        with opened_and_right(url) as store:
            assert {case.source_case for case in store.cases()} >= set(said)
            work(5 * round_, lambda _: None)
            assert store.tally("hob", NOON).total == len(store.cases()) == 5 * (round_ + 1)
    assert killer.killed


@MANY_ROUNDS
def test_a_copy_is_whole_or_the_earlier_one(sqlite_url: str, tmp_path: Path, rounds: int) -> None:
    target, killer = tmp_path / "out" / "copy.sqlite", Killer(9)
    target.parent.mkdir()

    def work(say: Say) -> None:
        copy_store(address_of(sqlite_url), target)
        say("copied")

    with open_store(sqlite_url) as store:
        confirmed(store, 3)
    killer.let_be(work)
    for round_ in range(rounds):
        with open_store(sqlite_url) as store:
            confirmed(store, 1)
        earlier = target.read_bytes()
        said = killer.kill(work)
        is_earlier = target.read_bytes() == earlier
        with opened_and_right(str(target)) as copy:
            number = len(copy.cases())
        assert number == round_ + (3 if is_earlier else 4)
        assert not (said and is_earlier)
        copy_store(address_of(sqlite_url), target)
    assert killer.killed


@MANY_ROUNDS
def test_putting_a_copy_back_can_be_said_again(sqlite_url: str, tmp_path: Path, rounds: int) -> None:
    path, copy, killer = tmp_path / "cases.sqlite", tmp_path / "kept" / "copy.sqlite", Killer(10)
    copy.parent.mkdir()
    with open_store(sqlite_url) as store:
        confirmed(store, 3)
    copy_store(address_of(sqlite_url), copy)
    killer.let_be(lambda _: put_back(address_of(sqlite_url), copy) and None)
    for _ in range(rounds):
        for each in tmp_path.glob("cases.sqlite*"):
            each.unlink()
        shutil.copy(copy, path)
        with open_store(sqlite_url) as store:
            confirmed(store, 2)
        killer.kill(lambda _: put_back(address_of(sqlite_url), copy) and None)
        assert path.exists()  # else the next start would make an empty store
        with suppress(NotCopied):
            put_back(address_of(sqlite_url), copy)
        with opened_and_right(sqlite_url) as store:
            assert len(store.cases()) == 3
        numbers = []
        for each in tmp_path.glob("cases.sqlite.before-?"):
            with opened_and_right(str(each)) as aside:
                numbers.append(len(aside.cases()))
        assert 5 in numbers  # what stood there, with the two cases that the copy does not have
    assert killer.killed
