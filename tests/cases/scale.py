"""What the program's deeds cost in a store with very many made-up cases.

    python -m tests.cases.scale 1000000                          # a file that is thrown away afterwards
    python -m tests.cases.scale 1000000 --server SOCKET-FOLDER   # a schema of its own on a PostgreSQL server
    python -m tests.cases.scale 1000000 --flat                   # beside a thousand: do sums grow dearer?
    python -m tests.cases.scale 1000 --keep store.sqlite --fill-only

`tests.cases.made_up_cases` fills it.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from sqlalchemy import text

from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.terms import Finding, Situation
from tests.bench.fixed_loop import loop
from tests.cases.made_up_cases import NOW, Pattern, fill, patterns


@dataclass(frozen=True)
class Cost:
    """What one deed took: the median over its repeats, and the longest."""

    deed: str
    seconds: float
    longest: float
    repeats: int
    loop: float
    """Seconds that the fixed loop of the benchmarks took just then: it tells how busy the machine was."""


def measured(deed: str, do: Callable[[int], object], repeats: int) -> Cost:
    """Times a deed so many times; it is given the number of the repeat."""
    before, times = loop(), []
    for repeat in range(repeats):
        start = perf_counter()
        do(repeat)
        times.append(perf_counter() - start)
    return Cost(deed, median(times), max(times), repeats, (before + loop()) / 2)


def unconfirmed(store: CaseStore, number: int) -> list[tuple[int, str]]:
    """Some cases that nobody has confirmed, each with a cause that others of its symptom have."""
    with store.reading() as connection:
        rows = connection.execute(
            text(
                "SELECT id, (SELECT min(cause) FROM cause_sums AS s WHERE s.symptom = cases.symptom) AS cause"
                " FROM cases WHERE NOT confirmed ORDER BY id DESC LIMIT :number"
            ),
            {"number": number},
        )
        return [(row.id, row.cause) for row in rows]


def costs_at_every_step(store: CaseStore, symptom: str) -> list[Cost]:
    """What a walk does, and what a ranking reads."""
    some = unconfirmed(store, 40)
    opened = [store.open_case(symptom, "made up", "owner", "van 7", NOW) for _ in range(20)]
    tree = Library().tree(symptom)
    check = next(each for each in tree.checks.values() if each.reading is None)
    line = Entry(NOW, "finding", check.id, check.answers[0].id)
    findings = Situation(findings={check.id: Finding(check.id, check.answers[0].id)})

    def rank(_: int) -> None:
        from diagnose.reasoning.ranking import ranking

        ranking(build_model(tree, tally=store.tally(symptom, NOW)), findings)

    rank(0)
    return [
        measured("a case opened", lambda _: store.open_case(symptom, "made up", "owner", "", NOW), 20),
        measured("a finding kept", lambda at: store.append(opened[at], line), 20),
        measured("a case ended", lambda at: store.end_case(opened[at], "referred", NOW, "workshop"), 20),
        measured("a case confirmed", lambda at: store.confirm(*some[at], NOW), len(some)),
        measured("a case read", lambda at: store.case(some[at][0]), len(some)),
        measured("the sums of a ranking read", lambda _: store.tally(symptom, NOW, 3.0), 20),
        measured("model and ranking from them", rank, 10),
        measured("a vehicle's last case", lambda _: next(store.newest_first("van 7"), None), 20),
    ]


def costs_of_looking_back(store: CaseStore) -> list[Cost]:
    """What goes through the cases, or shows many of them."""
    from diagnose.cases.browsing import counted, listed
    from diagnose.cases.selecting import Wanted
    from diagnose.reviewing.trends import trends_of
    from diagnose.reviewing.trends_told import Asked

    return [
        measured("the newest fifty listed", lambda _: list(listed(store, Wanted(limit=50))), 10),
        measured("all cases numbered by state", lambda _: counted(store, Wanted()), 10),
        measured(
            "ten thousand listed with findings",
            lambda _: list(islice(listed(store, Wanted(), with_findings=True), 10_000)),
            1,
        ),
        measured("trends of all", lambda _: trends(store), 1),
        measured(
            "trends of one symptom",
            lambda _: trends_of(store, Asked(Wanted(symptom="water-pump"), NOW), {}),
            1,
        ),
        measured("the sums counted anew (check)", lambda _: check(store), 1),
    ]


def size(store: CaseStore) -> int:
    """Bytes that the store takes, indexes among them."""
    with store.reading() as connection:
        if connection.dialect.name == "sqlite":
            pages = [connection.exec_driver_sql(f"PRAGMA page_{what}").scalar() for what in ("count", "size")]
            return int(pages[0]) * int(pages[1])
        return int(
            connection.scalar(
                text(
                    "SELECT sum(pg_total_relation_size(c.oid)) FROM pg_class AS c"
                    " WHERE c.relkind = 'r' AND c.relnamespace = CAST(current_schema() AS regnamespace)"
                )
            )
        )


def trends(store: CaseStore) -> None:
    """Trends of everything, as the command reckons them."""
    from diagnose.cases.selecting import Wanted
    from diagnose.reviewing.trends import trends_of
    from diagnose.reviewing.trends_told import Asked

    library = Library()
    trends_of(store, Asked(Wanted(), NOW), {id: library.tree(id) for id in library.ids()})


def check(store: CaseStore) -> None:
    """The sums counted anew."""
    from diagnose.cases.checking import differences

    with store.reading() as connection:
        assert differences(connection) == ()


def nothing(store: CaseStore) -> None:
    """What a process takes that has only opened the store."""


def most_memory(url: str, name: str) -> float:
    """Megabytes that a fresh process holds at most while it does one of the three functions above."""
    program = (
        "import re, sys\nfrom pathlib import Path\nfrom diagnose.cases.store import open_store\n"
        "from tests.cases import scale\n"
        "with open_store(sys.argv[1]) as store:\n    getattr(scale, sys.argv[2])(store)\n"
        # Not getrusage: what it tells begins with the most that the parent ever held.
        "print(int(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1]) / 1024)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, url, name], capture_output=True, text=True, check=True
    )
    return float(done.stdout.splitlines()[-1])


FEW = ("water-pump", "habitation-dead")
"""With two symptoms and sixteen patterns already a thousand cases have every sum that a million have."""


def flat_patterns() -> list[Pattern]:
    """Such patterns that stores of a thousand and of a million cases have as many sums to read."""
    return patterns(FEW, 16)


def in_turns(few: Callable[[], object], many: Callable[[], object], rounds: int = 41) -> tuple[float, float]:
    """Medians of the processor time of two deeds taken in turns, so that a busy moment hits both."""

    def seconds(deed: Callable[[], object]) -> float:
        start = process_time()
        deed()
        return process_time() - start

    for deed in (few, many):
        deed()  # warms what is kept in memory
    pairs = [(seconds(few), seconds(many)) for _ in range(rounds)]
    return median(a for a, _ in pairs), median(b for _, b in pairs)


def flatness(number: int) -> str:
    """How much dearer sums are to read among so many cases than among a thousand."""
    with (
        tempfile.TemporaryDirectory() as folder,
        open_store(f"{folder}/few.sqlite") as few,
        open_store(f"{folder}/many.sqlite") as many,
    ):
        fill(few, 1_000, flat_patterns())
        fill(many, number, flat_patterns())
        small, large = in_turns(lambda: few.tally(FEW[0], NOW, 3.0), lambda: many.tally(FEW[0], NOW, 3.0))
    return (
        f"sums of a ranking read: {small * 1000:.2f} ms of 1,000 cases, {large * 1000:.2f} ms of {number:,}, "
        f"{large / small:.2f} times"
    )


def report(costs: list[Cost]) -> str:
    """A table for a document; the last column is the median on a machine whose fixed loop takes 100 ms."""
    lines = ["| what is done | median | longest | the loop | on a quiet machine |", "|---|--:|--:|--:|--:|"]
    for each in costs:
        longest = _time(each.longest) if each.repeats > 1 else ""
        quiet = _time(each.seconds / each.loop / 10)
        lines.append(f"| {each.deed} | {_time(each.seconds)} | {longest} | {_time(each.loop)} | {quiet} |")
    return "\n".join(lines)


def _time(seconds: float) -> str:
    return f"{seconds:.1f} s" if seconds >= 1 else f"{seconds * 1000:.1f} ms"


def main() -> None:
    """Fills a store, measures, prints."""
    parser = argparse.ArgumentParser(description="What a store of very many cases costs.")
    parser.add_argument("number", type=int)
    parser.add_argument(
        "--server", help="the socket folder of a PostgreSQL server, user ann, database postgres"
    )
    parser.add_argument(
        "--keep", type=Path, help="the file to make, which is kept; one that is there is measured"
    )
    parser.add_argument("--fill-only", action="store_true")
    parser.add_argument("--flat", action="store_true", help="compare the sums with those of a thousand")
    given = parser.parse_args()
    if given.flat:
        print(flatness(given.number))
        return
    with tempfile.TemporaryDirectory() as folder:
        url = str(given.keep or Path(folder) / "cases.sqlite")
        if given.server:
            url = _schema(given.server, given.number)
        with open_store(url) as store:
            start = perf_counter()
            if not store.cases(limit=1):
                fill(store, given.number, patterns())
                print(f"{given.number:,} cases filled in {perf_counter() - start:.1f} s", flush=True)
            print(f"size: {size(store) / 1e6:,.1f} MB, {size(store) / given.number:,.0f} bytes a case")
            if given.fill_only:
                return
            costs = costs_at_every_step(store, "water-pump") + costs_of_looking_back(store)
            print(report(costs), flush=True)
        for name in ("nothing", "trends", "check"):
            print(f"most memory of a process that does {name}: {most_memory(url, name):.0f} MB")


def _schema(folder: str, number: int) -> str:
    import psycopg

    name = f"scale{number}"
    with psycopg.connect(host=folder, user="ann", dbname="postgres") as connection:
        connection.execute(f"DROP SCHEMA IF EXISTS {name} CASCADE")
        connection.execute(f"CREATE SCHEMA {name}")
    return f"postgresql://ann:secret@/postgres?host={folder}&options=-csearch_path%3D{name}"


if __name__ == "__main__":
    main()
