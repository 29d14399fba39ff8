"""What SQLite keeps beside a store that was not closed (`-wal`, `-shm`), cut off, spoilt, lost or foreign.

The log's frames have checksums, each over all before it, so what was written before the first spoilt byte
stands and nothing behind it is read (sqlite.org/fileformat2.html section 4.1 and 4.2). The store is as it was
after one of its commits, with sums that fit, and never between two of them. That a log had more in it once,
nobody can see.
"""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.refusals import StoreRefused
from diagnose.cases.store import open_store
from tests.cases.faults import opened_and_right

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
CASES = 6


@pytest.fixture(scope="module")
def left_lying(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder as a program that was killed has left it: the store with its log, in which all cases are."""
    folder, used = tmp_path_factory.mktemp("left"), tmp_path_factory.mktemp("used")
    path = used / "cases.sqlite"
    open_store(str(path)).close()
    with open_store(str(path)) as store:
        for _ in range(CASES):
            case = store.open_case("hob", "d", "owner", "van", NOON)
            store.append(case, Entry(NOON, "finding", "flame", "weak"))
            store.confirm(case, "grit", NOON)
        for name in ("cases.sqlite", "cases.sqlite-wal", "cases.sqlite-shm"):
            shutil.copy(used / name, folder)
    return folder


def counted(folder: Path) -> int:
    """How many confirmed cases the store has, with everything as it has to be."""
    with opened_and_right(str(folder / "cases.sqlite")) as store:
        confirmed = sum(case.confirmed for case in store.cases())
        assert store.tally("hob", NOON).total == confirmed
        assert len(store.cases()) - confirmed in (0, 1)
        store.confirm(store.open_case("hob", "d", "owner", "", NOON), "grit", NOON)
        assert store.tally("hob", NOON).total == confirmed + 1
    return confirmed


def spoilt(left_lying: Path, folder: Path, name: str, change: Callable[[bytes], bytes | None]) -> Path:
    shutil.copytree(left_lying, folder)
    changed = change((folder / name).read_bytes())
    (folder / name).unlink()
    if changed is not None:
        (folder / name).write_bytes(changed)
    return folder


def test_left_as_it_was_everything_is_there(left_lying: Path, tmp_path: Path) -> None:
    assert counted(spoilt(left_lying, tmp_path / "f", "cases.sqlite-wal", lambda log: log)) == CASES


@pytest.mark.parametrize("rounds", [6, pytest.param(60, marks=pytest.mark.long)])
def test_a_log_that_is_cut_off_or_spoilt_anywhere_gives_the_store_of_an_earlier_moment(
    left_lying: Path, tmp_path: Path, rounds: int
) -> None:
    chance, found = random.Random(1), set()
    size = (left_lying / "cases.sqlite-wal").stat().st_size
    for round_ in range(rounds):
        at = chance.randrange(size)

        def cut(log: bytes, at: int = at) -> bytes:
            return log[:at]

        def flip(log: bytes, at: int = at) -> bytes:
            return log[:at] + bytes([log[at] ^ (1 << chance.randrange(8))]) + log[at + 1 :]

        place = tmp_path / str(round_)
        found.add(counted(spoilt(left_lying, place, "cases.sqlite-wal", (cut, flip)[round_ % 2])))
    assert found <= set(range(CASES + 1))
    assert len(found) > 2


@pytest.mark.parametrize("content", [None, b"", b"Buy gas.\n", bytes(4096), b"\xa5" * 40_000])
def test_a_log_that_is_lost_or_foreign_leaves_what_was_in_the_file(
    left_lying: Path, tmp_path: Path, content: bytes | None
) -> None:
    assert counted(spoilt(left_lying, tmp_path / "f", "cases.sqlite-wal", lambda _: content)) == 0


@pytest.mark.parametrize("content", [None, b"", b"Buy gas.\n", b"\xa5" * 32_768])
def test_the_index_of_the_log_is_made_anew(left_lying: Path, tmp_path: Path, content: bytes | None) -> None:
    assert counted(spoilt(left_lying, tmp_path / "f", "cases.sqlite-shm", lambda _: content)) == CASES


def test_a_log_beside_a_damaged_store_is_left_as_it_is(left_lying: Path, tmp_path: Path) -> None:
    folder = spoilt(left_lying, tmp_path / "f", "cases.sqlite", lambda content: content[:50])
    log = (folder / "cases.sqlite-wal").read_bytes()
    with pytest.raises(StoreRefused, match="is damaged; it was left as it is"):
        open_store(str(folder / "cases.sqlite"))
    assert (folder / "cases.sqlite-wal").read_bytes() == log
    assert (folder / "cases.sqlite").stat().st_size == 50
