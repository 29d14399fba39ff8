"""What checking, giving out and forgetting cost with very many cases, measured.

    python -m tests.cases.checking_figures FILE [CASES]

Makes a store of so many confirmed cases (a million unless told) with six answers each in FILE, where there
is none yet, and prints what each deed takes: seconds on the clock, seconds of computing, and the most
memory that the process has had until then.
"""

from __future__ import annotations

import random
import resource
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from diagnose.cases.checking import Difference, differences, integrity, mend
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import clear_traces, forget
from diagnose.cases.store import open_store
from diagnose.cases.tables import cases, entries

CHECKS = 6
DAY = "-03-01T12:00:00.000000Z"


def rows_of_cases(number: int, kinds: int, chance: random.Random) -> Iterator[dict[str, Any]]:
    """Confirmed cases of so many symptoms, fifteen causes and six years."""
    for id in range(1, number + 1):
        opened, van = f"{2020 + id % 6}{DAY}", f"van {id % 5000}"
        yield {
            "id": id, "symptom": f"s-{id % kinds}", "tree_digest": "d", "role": "owner", "state": "cured",
            "opened": opened, "changed": opened, "vehicle": van, "vehicle_key": van,
            "referral": "", "points_to": "", "confirmed": 1, "cause": f"cause-{chance.randrange(15)}",
            "confirmed_on": opened, "confirmed_lines": CHECKS, "asked_outcome": 0, "lines": CHECKS,
            "source": None, "source_case": None,
        }  # fmt: skip


def rows_of_entries(number: int, kinds: int, chance: random.Random) -> Iterator[dict[str, Any]]:
    """Each case with one of three answers to each check; where there is one kind, always the same."""
    for id in range(1, number + 1):
        for line in range(1, CHECKS + 1):
            yield {
                "case_id": id, "number": line, "time": f"2026{DAY}", "kind": "finding",
                "subject": f"check-{line}", "answer": chance.choice(("yes", "no", "weak")[: min(3, kinds)]),
                "value": None, "uncertainty": None, "ahead": 0,
            }  # fmt: skip


def fill(path: Path, number: int, kinds: int = 30) -> None:
    """Writes the cases past the store, so that its sums count none of them yet."""
    open_store(str(path)).close()
    chance = random.Random(1)
    with closing(sqlite3.connect(path)) as connection:
        for table, rows in ((cases, rows_of_cases), (entries, rows_of_entries)):
            names = [column.name for column in table.columns]
            places = ", ".join(f":{name}" for name in names)
            statement = f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({places})"
            connection.executemany(statement, rows(number, kinds, chance))
        connection.commit()


def measured(name: str, deed: Callable[[], Any]) -> Any:
    """Does it, and prints what it took."""
    clock, computing = time.monotonic(), time.process_time()
    done = deed()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{name:<28}{time.monotonic() - clock:8.1f} s{time.process_time() - computing:8.1f} s computing"
        f"{memory:8.0f} MB",
        flush=True,
    )
    return done


def main(path: Path, number: int) -> None:
    """Measures each deed in turn."""
    if not path.exists():
        measured(f"making {number} cases", lambda: fill(path, number))
    with open_store(str(path)) as store:

        def look() -> tuple[Difference, ...]:
            with store.reading() as connection:
                return differences(connection)

        print(f"{path.stat().st_size / 2**20:.0f} MiB")
        print(f"{len(measured('mending the sums', lambda: mend(store)))} sums set right")
        print(f"{len(measured('counting all sums anew', look))} differ")
        print(f"{measured('going through the file', lambda: integrity(store)) or 'sound'}")
        export, _ = measured("an export", lambda: make_export(store, 2026))
        print(f"{len(export.text())} bytes")
        first = store.cases(limit=1, oldest_first=True)[0].case
        measured("forgetting one case", lambda: forget(store, [first]))
        print(measured("clearing its traces", lambda: clear_traces(store)))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1_000_000)
