"""Several at one store at the same moment, each a process: what they all say stands, and counts once."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.arriving import take_in
from diagnose.cases.bulk import write_cases
from diagnose.cases.exchange_making import make_export
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import CaseStore, open_store
from tests.cases.faults import DONE, Say, at_once, opened_and_right
from tests.cases.import_histories import history, row, write

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ROUNDS = pytest.mark.parametrize("rounds", [1, pytest.param(3, marks=pytest.mark.long)])


def handed_on(store: CaseStore) -> int:
    case = store.open_case("hob", "d", "owner", "van", NOON)
    store.append(case, Entry(NOON, "finding", "flame", "weak"))
    store.end_case(case, "referred", NOON)
    return case


@ROUNDS
def test_imports_of_one_source_and_of_another(url: str, tmp_path: Path, rounds: int) -> None:
    path = write(
        tmp_path / "fleet.csv", [row(case=f"J{n}", cause=("bulb-gone", "")[n % 2]) for n in range(120)]
    )

    def bring_in(source: str, say: Say) -> None:
        _, spool = history(path).read()
        with open_store(url) as store:
            say(write_cases(store, source, spool, NOON).added)
        spool.close()

    open_store(url).close()
    for round_ in range(rounds):
        sources = [f"north {round_}", f"north {round_}", f"south {round_}"]
        said = at_once(*(lambda say, source=source: bring_in(source, say) for source in sources))  # type: ignore[misc]
        assert sorted(said[:2]) == [["0", DONE], ["120", DONE]]
        assert said[2] == ["120", DONE]
        with opened_and_right(url) as store:
            assert len(store.cases()) == 240 * (round_ + 1)
            assert store.tally("lamp-dark", NOON).total == 120 * (round_ + 1)


@ROUNDS
def test_two_who_confirm_one_case_and_one_who_ends_it(url: str, rounds: int) -> None:
    with open_store(url) as store:
        cases = [store.open_case("hob", "d", "owner", "van", NOON) for _ in range(6)]

    def confirm(cause: str, say: Say) -> None:
        with open_store(url) as store:
            for case in cases:
                say(store.confirm(case, cause, NOON).confirmed)

    def end(say: Say) -> None:
        with open_store(url) as store:
            for case in cases:
                store.append(case, Entry(NOON, "finding", "flame", "weak"))
                store.end_case(case, "referred", NOON)
                say(case)
                store.reopen(case, NOON)

    for _ in range(rounds):
        said = at_once(lambda say: confirm("grit", say), lambda say: confirm("frost", say), end)
        assert said == [*[["True"] * 6 + [DONE]] * 2, [*map(str, cases), DONE]]
        with opened_and_right(url) as store:
            kept = store.cases()
            assert {case.cause for case in kept} <= {"grit", "frost"}
            assert store.tally("hob", NOON).total == 6
            for cause in ("grit", "frost"):
                counted = store.tally("hob", NOON).causes.get(cause, 0.0)
                assert counted == sum(case.cause == cause for case in kept)


@ROUNDS
def test_a_code_that_three_people_type_in_opens_one_case(url: str, rounds: int) -> None:
    open_store(url).close()

    def type_in(number: int, cause: str, say: Say) -> None:
        here = CaseRecord(
            0, "hob", "d", "owner", "referred", NOON, NOON, source="c0de", source_case=str(number),
            entries=(Entry(NOON, "finding", "flame", "weak"),),
        )  # fmt: skip
        with open_store(url) as store:
            say(take_in(store, here, cause, NOON).case)

    for number in range(1, rounds + 1):
        causes = ("grit", "frost", "grit")
        said = at_once(*(lambda say, n=number, cause=cause: type_in(n, cause, say) for cause in causes))  # type: ignore[misc]
        assert [each[1:] for each in said] == [[DONE]] * 3
        assert len({each[0] for each in said}) == 1
        with opened_and_right(url) as store:
            assert store.tally("hob", NOON).total == len(store.cases()) == number


@pytest.mark.parametrize("rounds", [pytest.param(3, marks=pytest.mark.long)])
def test_an_import_while_somebody_walks_and_another_gives_out(url: str, tmp_path: Path, rounds: int) -> None:
    path = write(tmp_path / "fleet.csv", [row(case=f"J{n}") for n in range(120)])

    def bring_in(source: str, say: Say) -> None:
        _, spool = history(path).read()
        with open_store(url) as store:
            say(write_cases(store, source, spool, NOON).added)
        spool.close()

    def walk(say: Say) -> None:
        with open_store(url) as store:
            for _ in range(5):
                case = handed_on(store)
                store.confirm(case, "grit", NOON)
                say(case)

    def give_out(say: Say) -> None:
        with open_store(url) as store:
            for _ in range(3):
                made, _ = make_export(store, 2026)
                # Whole imports, and every answer of a case with the case.
                of_import = sum(total for symptom, *_, total in made.causes if symptom == "lamp-dark")
                answers = sum(each[-1] for each in made.answers if each[2] == "switch-click")
                say(f"{of_import % 120} {of_import - answers}")

    open_store(url).close()
    for round_ in range(rounds):
        said = at_once(lambda say, round_=round_: bring_in(f"fleet {round_}", say), walk, give_out)  # type: ignore[misc]
        assert said[0] == ["120", DONE]
        assert (len(said[1]), said[1][-1]) == (6, DONE)
        assert said[2] == ["0 0"] * 3 + [DONE]
        with opened_and_right(url) as store:
            assert store.tally("lamp-dark", NOON).total == 120 * (round_ + 1)
            assert store.tally("hob", NOON).total == 5 * (round_ + 1)
