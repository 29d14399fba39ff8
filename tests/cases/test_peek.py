"""The quick look at the start."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from subprocess import Popen

import pytest

from diagnose.cases.peek import Peek, peek
from diagnose.cases.store import open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def test_it_tells_what_there_is_to_ask_and_to_take_up(sqlite_url: str) -> None:
    assert peek(sqlite_url) == Peek(awaits_outcome=False, resumable=False, rounds=())
    with open_store(sqlite_url) as store:
        assert peek(sqlite_url) == Peek(awaits_outcome=False, resumable=False, rounds=())
        case = store.open_case("hob", "d", "owner", "", NOON)
        assert peek(sqlite_url) == Peek(awaits_outcome=False, resumable=True, rounds=())
        store.end_case(case, "left-off", NOON)
        assert peek(sqlite_url) == Peek(awaits_outcome=False, resumable=True, rounds=())
        store.end_case(case, "referred", NOON)
        assert peek(sqlite_url) == Peek(awaits_outcome=True, resumable=False, rounds=())
    assert peek(sqlite_url) == Peek(awaits_outcome=True, resumable=False, rounds=())
    with open_store(sqlite_url) as store:
        store.outcome_asked(case)
        assert peek(sqlite_url) == Peek(awaits_outcome=False, resumable=False, rounds=())


def test_it_agrees_with_the_store_itself(sqlite_url: str) -> None:
    with open_store(sqlite_url) as store:
        for state in ("cured", "referred", "stopped"):
            case = store.open_case("hob", "d", "owner", "", NOON)
            store.end_case(case, state, NOON)  # type: ignore[arg-type]
            assert store.awaiting_outcome() is not None
            assert peek(sqlite_url).awaits_outcome
            store.confirm(case, "x", NOON)
            assert store.awaiting_outcome() is None
            assert not peek(sqlite_url).awaits_outcome


def _foreign(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE cases (id INTEGER)")


def _newer(path: Path) -> None:
    open_store(str(path)).close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 9")


def _scrambled(path: Path) -> None:
    open_store(str(path)).close()
    path.write_bytes(path.read_bytes()[:4096] + b"\xa5" * 9000)


@pytest.mark.parametrize(
    "make", [_foreign, _newer, _scrambled, lambda path: path.write_text("SQLite"), lambda path: path.mkdir()]
)
def test_whatever_is_wrong_it_does_not_know_and_changes_nothing(
    tmp_path: Path, make: Callable[[Path], object]
) -> None:
    path = tmp_path / "cases.sqlite"
    make(path)
    before = {
        file: hashlib.sha256(file.read_bytes()).hexdigest() for file in tmp_path.iterdir() if file.is_file()
    }
    assert peek(str(path)) == Peek()
    after = {
        file: hashlib.sha256(file.read_bytes()).hexdigest() for file in tmp_path.iterdir() if file.is_file()
    }
    assert after == before


@pytest.mark.parametrize("url", ["", "nonsense://x", "postgresql://ann@db.example/cases", "x" * 5000, "a\0b"])
def test_an_address_that_it_cannot_look_into_is_no_trouble(url: str) -> None:
    assert peek(url) == Peek()


def test_it_loads_nothing_heavy(run: Callable[..., Popen[str]], sqlite_url: str) -> None:
    open_store(sqlite_url).close()
    program = (
        "import sys\nfrom diagnose.cases.peek import peek\npeek(sys.argv[1])\n"
        "print(sorted({'sqlalchemy', 'psycopg', 'networkx', 'numpy', 'yaml', 'click'} & set(sys.modules)))"
    )
    process = run(program, sqlite_url)
    assert process.communicate(timeout=30) == ("[]\n", "")
