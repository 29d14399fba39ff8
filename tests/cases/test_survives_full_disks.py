"""A disk that is full at any byte: the step that had no room is not there, everything before it is.

The room is taken away in three ways: SQLite may use no more pages (its own word for a full disk), the system
lets the process write no larger file (which SQLite cannot tell from a disk in trouble), and, for the program
itself, the store lies on a disk in memory that is too small.
"""

from __future__ import annotations

import json
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from diagnose.cases.arriving import take_in
from diagnose.cases.bulk import write_cases
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import clear_traces, forget
from diagnose.cases.merging import merge, standing
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.refusals import StoreRefused
from diagnose.cases.store import CaseStore, open_store
from diagnose.knowledge.collection import Library
from tests.cases.faults import CHECKOUT, DONE, Say, is_right, opened_and_right, said_in_a_copy
from tests.cases.import_histories import history, row, write

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def full(path: Path) -> str:
    return f"the disk of the case store {path} is full; the last step was not kept"


def troubled(path: Path) -> str:
    return f"the disk of the case store {path} does not answer as it should; the last step was not kept"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "cases.sqlite"
    with open_store(str(place)) as store:
        for _ in range(4):
            case = store.open_case("hob", "d", "owner", "van", NOON)
            store.append(case, Entry(NOON, "finding", "flame", "weak"))
            store.confirm(case, "grit", NOON)
    return place


def pages(store: CaseStore, most: int | None = None) -> int:
    """How many pages the store has; with `most` it may have no more from now on."""
    with store.reading() as connection:
        if most is not None:
            connection.exec_driver_sql(f"PRAGMA max_page_count = {most}")
        return int(connection.exec_driver_sql("PRAGMA page_count").scalar() or 0)


def test_an_import_that_has_no_room_leaves_nothing_and_one_that_has_leaves_all(
    path: Path, tmp_path: Path
) -> None:
    _, spool = history(write(tmp_path / "fleet.csv", [row(case=f"J{n}") for n in range(150)])).read()
    with open_store(str(path)) as store:
        most, refused = pages(store), 0
        told: set[str] = set()
        while True:
            most += 3
            pages(store, most)
            try:
                added = write_cases(store, "fleet", spool, NOON).added
                break
            except StoreRefused as error:
                told.add(str(error))
            assert len(store.cases()) == 4
            refused += 1
        assert (added, told) == (150, {full(path)})
        assert refused > 2
        is_right(store)
    with opened_and_right(str(path)) as store:
        assert len(store.cases()) == 154
        assert write_cases(store, "fleet", spool, NOON).already == 150
    spool.close()


def test_merging_that_has_no_room(path: Path) -> None:
    rows = tuple((f"s{n:04d}", "grit", 2026, "cured", 3) for n in range(600))
    with open_store(str(path)) as store:
        merge(store, [("f", Export("0" * 16, 1, rows[:10]))], NOON)
        pages(store, pages(store) + 1)
        with pytest.raises(StoreRefused) as refused:
            merge(store, [("f", Export("0" * 16, 2, rows))], NOON)
        assert str(refused.value) == full(path)
        assert [(each.number, each.confirmed) for each in standing(store)] == [(1, 30)]
        is_right(store)


def grow(store: CaseStore, say: Say) -> None:
    """Everything that is done to a store, again and again."""
    for number in range(1, 30):
        case = store.open_case("hob", "d", "owner", "van" * 300, NOON)
        store.append(case, Entry(NOON, "finding", "flame", "weak"))
        store.end_case(case, "referred", NOON)
        store.confirm(case, "grit", NOON)
        say(f"confirmed {case}")
        here = CaseRecord(0, "hob", "d", "owner", "cured", NOON, NOON, source="c0de", source_case=str(number))
        say(f"arrived {take_in(store, here, 'grit', NOON).case}")
        rows = tuple((f"s{n:04d}", "grit", 2026, "cured", number) for n in range(20))
        merge(store, [("f", Export("0" * 16, number, rows))], NOON)
        say(f"merged {number}")
        say(f"exported {make_export(store, 2026)[0].number}")
        if number % 3 == 0:
            forget(store, [case])
            say(f"forgotten {case}")
            clear_traces(store)


@pytest.mark.parametrize("more", [0, 20_000, pytest.param(None, marks=pytest.mark.long)])
def test_a_file_that_may_not_grow(path: Path, more: int | None) -> None:
    for room in [more] if more is not None else range(1_000, 300_000, 12_345):
        _grown_as_far_as(path, room)


def _grown_as_far_as(path: Path, room: int) -> None:
    most = path.stat().st_size + room
    with open_store(str(path)) as store:
        before = {case.case for case in store.cases()}
        forget(store, [case for case in before if case > 4])
        exports = make_export(store, 2026)[0].number

    def work(say: Say) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
        with open_store(str(path)) as store:
            grow(store, say)

    said = said_in_a_copy(work)
    assert said[-1].removeprefix("StoreRefused: ") in (DONE, full(path), troubled(path))
    told = [line.split() for line in said[:-1]]
    with opened_and_right(str(path)) as store:
        kept = {case.case for case in store.cases()}
        gone = {int(number) for what, number in told if what == "forgotten"}
        assert {int(number) for what, number in told if what in ("confirmed", "arrived")} - gone <= kept
        assert not gone & kept
        merged = [int(number) for what, number in told if what == "merged"]
        stands = [each.number for each in standing(store)]
        if merged:
            assert stands[0] >= merged[-1]
        assert make_export(store, 2026)[0].number > exports + sum(what == "exported" for what, _ in told)
        is_right(store)


# The program itself on a disk that is too small ------------------------------------------------------------

IN_A_SMALL_DISK = """
import json, os, subprocess, sys
words = json.loads(sys.argv[1])
disk, size, before = words["disk"], words["size"], words["before"]
subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", disk], check=True)
for name in before:
    subprocess.run(["cp", name, disk], check=True)
said = []
for each in words["commands"]:
    program = [sys.executable, "-m", "diagnose", *each]
    done = subprocess.run(program, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    said.append([done.returncode, done.stdout, done.stderr])
print(json.dumps([said, sorted(os.listdir(disk))]))
"""


@pytest.fixture
def small_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Any]:
    """Runs commands of the program where a folder is a disk of so many KiB.

    Returns what each said (exit code, output, errors), and what lies on the disk then.
    """
    disk = tmp_path / "disk"
    disk.mkdir()
    alone = ["unshare", "--user", "--map-root-user", "--mount"]
    if (
        shutil.which("unshare") is None
        or subprocess.run(
            [*alone, "mount", "-t", "tmpfs", "tmpfs", str(disk)], capture_output=True, check=False
        ).returncode
    ):
        pytest.skip("this system does not let a test mount a disk of its own")
    monkeypatch.setenv("PYTHONPATH", str(CHECKOUT))
    monkeypatch.setenv("COLUMNS", "80")

    def run(size: int, before: list[Path], *commands: list[str]) -> Any:
        words = {
            "disk": str(disk),
            "size": f"{size}k",
            "before": list(map(str, before)),
            "commands": commands,
        }
        done = subprocess.run(
            [*alone, sys.executable, "-c", IN_A_SMALL_DISK, json.dumps(words)],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        return json.loads(done.stdout)

    return run


def fleet(path: Path, number: int) -> Path:
    tree = Library().tree("water-pump")
    cause = "+".join(tree.cut_sets[0])
    lines = [f"J{n},2025-05-04,water-pump,{cause},van {n % 9}" for n in range(number)]
    path.write_text("\n".join(["case,date,symptom,cause,vehicle", *lines]) + "\n")
    return path


@pytest.mark.long
def test_commands_on_a_full_disk(small_disk: Callable[..., Any], path: Path, tmp_path: Path) -> None:
    store = str(tmp_path / "disk" / "cases.sqlite")
    here = ["--cases", store]
    said, left = small_disk(
        700,
        [path],
        ["cases", "import", str(fleet(tmp_path / "fleet.csv", 3000)), *here],
        ["cases", "check", *here],
        ["cases", "copy", "-o", f"{tmp_path}/disk/copy.sqlite", *here],
        ["cases", "export", "-o", f"{tmp_path}/disk/sums.json", *here],
        ["cases", "check", "--json", *here],
        ["cases", "import", str(fleet(tmp_path / "few.csv", 20)), *here],
        ["cases", "check", *here],
    )
    assert said[0] == [1, "", full(Path(store)) + "\n"]
    assert said[1][0] == 0
    assert said[1][1].startswith("4 cases, 4 confirmed.\nAll 2 sums are what the cases come to.")
    assert said[2][0] == said[3][0] == said[4][0] == said[5][0] == said[6][0] == 0
    assert json.loads(said[4][1])["cases"] == 4
    assert said[6][1].startswith("24 cases, 24 confirmed.")
    assert left == ["cases.sqlite", "copy.sqlite", "sums.json"]


@pytest.mark.long
def test_copies_and_exports_to_a_full_disk(
    small_disk: Callable[..., Any], path: Path, tmp_path: Path
) -> None:
    disk = tmp_path / "disk"
    (tmp_path / "filling").write_bytes(b"x" * 18_000)
    said, left = small_disk(
        24,
        [tmp_path / "filling"],
        ["cases", "copy", "-o", f"{disk}/copy.sqlite", "--cases", str(path)],
        ["cases", "export", "-o", f"{disk}/sums.json", "--cases", str(path)],
        ["cases", "check", "--cases", str(path)],
    )
    assert said[0][0] == 1
    assert len(said[0][2].splitlines()) == 1
    assert said[1][0] == 0
    assert said[2][0] == 0
    assert left == ["filling", "sums.json"]


@pytest.mark.long
def test_an_import_whose_folder_for_temporary_files_is_full(
    small_disk: Callable[..., Any], path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path / "disk"))
    said, left = small_disk(
        60,
        [],
        ["cases", "import", str(fleet(tmp_path / "fleet.csv", 3000)), "--cases", str(path)],
        ["cases", "check", "--cases", str(path)],
    )
    where = tmp_path / "disk"
    assert said[0][::2] == [
        1,
        f"no room in {where} for what was read (No space left on device); nothing was brought in\n",
    ]
    assert said[1][0] == 0
    assert said[1][1].startswith("4 cases, 4 confirmed.")
    assert left == []
