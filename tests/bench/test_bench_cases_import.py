"""Bringing in a fleet's history, against the least that any program would have to do in the same run.

SQLite: Python's `csv` reader feeding `executemany` into the same tables; that understands nothing, checks
nothing and counts nothing. PostgreSQL: COPY of rows that are ready into the same tables. Both are measured in
turns with the import: SQLite in processor time, which others' work on the machine hardly moves (all the work
is done in this process), PostgreSQL by the clock, since the server works elsewhere. Memory is that of a
process of its own.

A million cases, by hand: `python -m tests.bench.test_bench_cases_import 1000000`.
"""

from __future__ import annotations

import csv
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median
from time import perf_counter, process_time

import pytest

from diagnose.cases.bulk import CASE_COLUMNS, ENTRY_COLUMNS, write_cases
from diagnose.cases.store import open_store
from tests.cases.conftest import server  # noqa: F401  (a fixture)
from tests.cases.import_histories import history

CHECKOUT = Path(__file__).resolve().parents[2]
NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
HEADER = ("case", "date", "symptom", "cause", "vehicle", "switch-click", "use")
CASES = 30_000
ROUNDS = 3
LEAST = 0.5
"""The part of the other's rate that an import has to reach."""
MOST_MEMORY = 300
"""MiB."""


def write_history(path: Path, number: int) -> Path:
    """So many cases, as a fleet has them: two answers each, one in five without a cause."""
    dice = Random(7)
    causes = ["bulb-gone", "bulb-gone", "switched-off", "old-wire+damp-socket", ""]
    with path.open("w", newline="", encoding="utf-8") as stream:
        rows = csv.writer(stream)
        rows.writerow(HEADER)
        for n in range(number):
            day = date(2015, 1, 1) + timedelta(days=dice.randrange(4000))
            symptom = dice.choice(["lamp-dark", "fan-still"])
            answers = dice.choice(["up", "down"]), dice.choice(["hired", "private"])
            rows.writerow(
                [f"J{n:07}", day, symptom, dice.choice(causes), f"van {dice.randrange(400)}", *answers]
            )
    return path


def bring_in(url: str, path: Path, clock: Callable[[], float] = perf_counter) -> float:
    """Seconds that an import takes, from the file to the durable store."""
    with open_store(url) as store:
        start = clock()
        report, spool = history(path).read()
        with closing(spool):
            written = write_cases(store, "fleet", spool, NOW)
        taken = clock() - start
    assert written.added == report.rows > 0
    return taken


def rows_of(path: Path, batch: int = 5_000):
    """The rows of both tables straight from the file's cells, some thousand cases at a time."""
    stamp = "2026-03-01T12:00:00.000000Z"
    cases: list[tuple] = []
    lines: list[tuple] = []
    with path.open(newline="", encoding="utf-8") as stream:
        rows = csv.reader(stream)
        next(rows)
        for id, (number, day, symptom, cause, vehicle, one, other) in enumerate(rows, 1):
            opened = f"{day}T12:00:00.000000Z"
            cases.append(
                (id, symptom, "d", "technician", "cured", opened, opened, vehicle, "", "", cause != "", cause,
                 stamp, 2, True, 2, vehicle, "fleet", number)
            )  # fmt: skip
            lines.append((id, 1, opened, "finding", "switch-click", one, None, None, False))
            lines.append((id, 2, opened, "finding", "use", other, None, None, False))
            if len(cases) >= batch:
                yield cases, lines
                cases, lines = [], []
    yield cases, lines


def insert(table: str, columns: tuple[str, ...]) -> str:
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"


def by_executemany(url: str, path: Path) -> float:
    """Seconds that the csv module and executemany take for the same rows, in one durable transaction."""
    with open_store(url) as store:
        start = process_time()
        with store.writing() as connection:
            raw = connection.connection.driver_connection
            raw.execute(
                "PRAGMA cache_size = -100000"
            )  # as the import has it; without it this takes far longer
            for cases, lines in rows_of(path):
                raw.executemany(insert("cases", CASE_COLUMNS), cases)
                raw.executemany(insert("entries", ENTRY_COLUMNS), lines)
        return process_time() - start


def by_copy(url: str, path: Path) -> float:
    """Seconds that COPY takes for rows that are ready, in one durable transaction."""
    ready = list(rows_of(path))
    with open_store(url) as store:
        start = perf_counter()
        with store.writing() as connection, connection.connection.driver_connection.cursor() as cursor:
            for cases, lines in ready:
                for table, columns, rows in (
                    ("cases", CASE_COLUMNS, cases),
                    ("entries", ENTRY_COLUMNS, lines),
                ):
                    with cursor.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy:
                        for row in rows:
                            copy.write_row(row)
        return perf_counter() - start


def compared(capsys, what: str, ours, other) -> None:
    """Both in turns; fails where the import reaches less than half of the other's rate."""
    pairs = [(ours(), other()) for _ in range(ROUNDS)]
    own, least = median(a for a, _ in pairs), median(b for _, b in pairs)
    with capsys.disabled():
        print(
            f"\n{what}: {CASES / own:,.0f} cases a second, {own / CASES * 1e6:.0f} µs each; the other "
            f"{CASES / least:,.0f}, {least / CASES * 1e6:.0f} µs each; "
            f"{least / own:.2f} of its rate, least {LEAST}"
        )
    assert least / own >= LEAST


def test_bench_import_into_sqlite_against_csv_and_executemany(tmp_path, capsys):
    path = write_history(tmp_path / "fleet.csv", CASES)
    numbers = iter(range(1000))

    def fresh():
        return f"sqlite:///{tmp_path / f'{next(numbers)}.sqlite'}"

    compared(
        capsys,
        "import, SQLite",
        lambda: bring_in(fresh(), path, process_time),
        lambda: by_executemany(fresh(), path),
    )


def test_bench_import_into_postgresql_against_copy(server, tmp_path, capsys):  # noqa: F811
    import psycopg

    path = write_history(tmp_path / "fleet.csv", CASES)
    numbers = iter(range(1000))

    def fresh():
        schema = f"bench{next(numbers)}"
        with psycopg.connect(host=str(server), user="ann", dbname="postgres") as connection:
            connection.execute(f"CREATE SCHEMA {schema}")
        return f"postgresql://ann@/postgres?host={server}&options=-csearch_path%3D{schema}"

    compared(capsys, "import, PostgreSQL", lambda: bring_in(fresh(), path), lambda: by_copy(fresh(), path))


MEASURED = """
import resource, sys
from pathlib import Path
from tests.bench.test_bench_cases_import import bring_in
taken = bring_in(sys.argv[1], Path(sys.argv[2]))
print(taken, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def measured(number: int, folder: Path) -> tuple[float, float]:
    """Seconds and MiB at most of a process that brings in so many cases."""
    path = write_history(folder / "fleet.csv", number)
    words = [sys.executable, "-c", MEASURED, f"sqlite:///{folder / 'memory.sqlite'}", str(path)]
    environment = os.environ | {"PYTHONPATH": str(CHECKOUT)}
    done = subprocess.run(words, check=True, capture_output=True, text=True, env=environment)
    seconds, memory = map(float, done.stdout.split())
    return seconds, memory


@pytest.mark.timeout(600)
def test_bench_memory_of_an_import(tmp_path, capsys):
    seconds, memory = measured(100_000, tmp_path)
    with capsys.disabled():
        print(f"\nimport of 100,000 cases: {seconds:.1f} s, {memory:.0f} MiB at most, bound {MOST_MEMORY}")
    assert memory <= MOST_MEMORY


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        taken, most = measured(int(sys.argv[1]), Path(place))
        print(f"{int(sys.argv[1]):,} cases: {taken:.1f} s, {most:.0f} MiB at most")
