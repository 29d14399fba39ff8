"""Stores to test with: a SQLite file, and a schema on a real PostgreSQL server that is started for it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest

import diagnose
from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
_numbers = count(1)


def _absent(reason: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


def program_of_server(name: str) -> str:
    """A program of the server's; the distribution keeps them in a folder of each version, off the path."""
    kept = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    found = shutil.which(name) or (str(kept[-1]) if kept else "")
    if not found:
        _absent(f"PostgreSQL's program {name} is not installed")
    return found


@pytest.fixture(scope="session")
def server() -> Iterator[Path]:
    """The socket folder of a PostgreSQL server of our own, reached by no network, gone after the run."""
    try:
        import psycopg
    except ImportError:
        _absent("psycopg is not installed")
    make, serve = program_of_server("initdb"), program_of_server("postgres")
    folder = Path(tempfile.mkdtemp(prefix="dxpg"))
    who: dict[str, str | list[str]] = {}
    if os.geteuid() == 0:  # the server refuses to run as root
        who = {"user": "postgres", "group": "postgres", "extra_groups": []}
        shutil.chown(folder, "postgres", "postgres")
    data = folder / "data"
    subprocess.run(
        [make, "-D", data, "-A", "trust", "-U", "ann", "-E", "UTF8", "--locale=C", "--no-sync"],
        check=True,
        capture_output=True,
        cwd="/",
        **who,
    )
    quiet = ["-c", "listen_addresses=", "-c", "fsync=off", "-c", "log_min_messages=panic"]
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen([serve, "-D", data, "-k", folder, *quiet], cwd="/", stderr=log, **who)
    try:
        for _ in range(200):
            try:
                psycopg.connect(host=str(folder), user="ann", dbname="postgres").close()
                break
            except psycopg.OperationalError:
                assert process.poll() is None, (folder / "log").read_text()
                time.sleep(0.05)
        yield folder
    finally:
        process.send_signal(signal.SIGQUIT)  # at once: nothing of it is kept
        process.wait(30)
        shutil.rmtree(folder)


@pytest.fixture
def postgresql_url(server: Path) -> str:
    """The address of a fresh, empty schema."""
    return _fresh_schema(server)


@pytest.fixture
def fresh_url(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[str], str]:
    """`fresh_url(url)` is the address of another, empty store of the same kind."""

    def make(url: str) -> str:
        if url.startswith("sqlite"):
            return f"sqlite:///{tmp_path / f'other{next(_numbers)}.sqlite'}"
        return _fresh_schema(request.getfixturevalue("server"))

    return make


def _fresh_schema(server: Path) -> str:
    import psycopg

    schema = f"s{next(_numbers)}"
    with psycopg.connect(host=str(server), user="ann", dbname="postgres") as connection:
        connection.execute(f"CREATE SCHEMA {schema}")
    return f"postgresql://ann:secret@/postgres?host={server}&options=-csearch_path%3D{schema}"


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """The address of a file that is not there yet."""
    return f"sqlite:///{tmp_path / 'cases.sqlite'}"


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str:
    """An address of each kind in turn."""
    return str(request.getfixturevalue(f"{request.param}_url"))


@pytest.fixture
def store(url: str) -> Iterator[CaseStore]:
    """An open, empty store of each kind in turn."""
    with open_store(url) as opened:
        yield opened


@pytest.fixture
def found() -> Callable[..., Entry]:
    """`found("hob-flame", "weak")` is a finding as it goes into a journal."""

    def make(check: str, answer: str, value: float | None = None, kind: str = "finding") -> Entry:
        return Entry(NOON, kind, check, answer, value, None if value is None else 0.1)  # type: ignore[arg-type]

    return make


@pytest.fixture
def run() -> Callable[..., subprocess.Popen[str]]:
    """Starts a Python program, given as text with its arguments, as a process of its own."""

    def start(program: str, *arguments: str) -> subprocess.Popen[str]:
        import sys

        return subprocess.Popen(
            [sys.executable, "-c", program, *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=os.environ | {"PYTHONPATH": str(Path(diagnose.__file__).parents[1])},
        )

    return start
