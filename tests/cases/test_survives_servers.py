"""The server stops in the middle of a transaction, by force, and is started again.

Nothing that was acknowledged is lost, nothing counts twice, and whoever was at it is told in one line.

A server of its own is stopped here, with `fsync` on, by an immediate shutdown (PostgreSQL's manual, section
"Shutting Down the Server": SIGQUIT, recovery at the next start) and by killing the process that serves.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from diagnose.cases.arriving import take_in
from diagnose.cases.bulk import write_cases
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import forget
from diagnose.cases.merging import merge, standing
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.refusals import StoreRefused
from diagnose.cases.store import CaseStore, open_store
from tests.cases.conftest import program_of_server
from tests.cases.faults import is_right, opened_and_right
from tests.cases.import_histories import history, row, write
from tests.cases.test_older_stores import restored

pytestmark = pytest.mark.long
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
NOT_REACHED = "the case store postgresql:///postgres cannot be reached, or does not let you in"
_numbers = count(1)


class Server:
    """A server that is started, stopped by force and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._who: dict[str, Any] = {}
        if os.geteuid() == 0:  # the server refuses to run as root
            self._who = {"user": "postgres", "group": "postgres", "extra_groups": []}
            shutil.chown(folder, "postgres", "postgres")
        make = program_of_server("initdb")
        words = [
            make,
            "-D",
            folder / "data",
            "-A",
            "trust",
            "-U",
            "ann",
            "-E",
            "UTF8",
            "--locale=C",
            "--no-sync",
        ]
        subprocess.run(words, check=True, capture_output=True, cwd="/", **self._who)

    def start(self) -> None:
        """Returns when it lets people in."""
        import psycopg

        words = [program_of_server("postgres"), "-D", self.folder / "data", "-k", self.folder]
        quiet = ["-c", "listen_addresses=", "-c", "log_min_messages=panic"]
        self._process = subprocess.Popen([*words, *quiet], cwd="/", stderr=subprocess.DEVNULL, **self._who)
        for _ in range(600):
            try:
                psycopg.connect(host=str(self.folder), user="ann", dbname="postgres").close()
                return
            except psycopg.OperationalError:
                assert self._process.poll() is None
                time.sleep(0.05)
        raise AssertionError("the server does not start")

    def stop(self) -> None:
        """At once: every connection is cut, nothing more is written."""
        self._process.send_signal(signal.SIGQUIT)
        self._process.wait(30)

    def kill_who_serves(self) -> None:
        """SIGKILL for every process that serves somebody; the server then recovers by itself."""
        import psycopg

        with psycopg.connect(host=str(self.folder), user="ann", dbname="postgres") as connection:
            asked = "SELECT pid FROM pg_stat_activity WHERE backend_type = 'client backend'"
            pids = [pid for (pid,) in connection.execute(asked) if pid != connection.info.backend_pid]
        assert pids
        for pid in pids:
            with suppress(ProcessLookupError):  # once one is killed, the server itself ends the others
                os.kill(pid, signal.SIGKILL)
        time.sleep(0.3)

    def let_in(self) -> None:
        """Waits until it lets people in again."""
        import psycopg

        for _ in range(600):
            try:
                psycopg.connect(host=str(self.folder), user="ann", dbname="postgres").close()
                return
            except psycopg.OperationalError:
                time.sleep(0.05)
        raise AssertionError("the server does not come back")

    def url(self) -> str:
        """The address of a fresh, empty schema."""
        import psycopg

        schema = f"f{next(_numbers)}"
        with psycopg.connect(host=str(self.folder), user="ann", dbname="postgres") as connection:
            connection.execute(f"CREATE SCHEMA {schema}")
        return f"postgresql://ann:secret@/postgres?host={self.folder}&options=-csearch_path%3D{schema}"


@pytest.fixture(scope="module")
def own_server() -> Iterator[Server]:
    pytest.importorskip("psycopg")
    folder = Path(tempfile.mkdtemp(prefix="dxpf"))
    server = Server(folder)
    server.start()
    yield server
    server.stop()
    shutil.rmtree(folder)


@pytest.fixture(params=["stopped", "killed"])
def fault(request: pytest.FixtureRequest, own_server: Server) -> Callable[[], None]:
    """What happens to the server."""
    return own_server.stop if request.param == "stopped" else own_server.kill_who_serves


@pytest.fixture
def mended(
    request: pytest.FixtureRequest, own_server: Server, fault: Callable[[], None]
) -> Callable[[], None]:
    """Has the server be there again."""
    return own_server.start if request.node.callspec.params["fault"] == "stopped" else own_server.let_in


Fault = Callable[[], None]


def confirmed(store: CaseStore, number: int) -> list[int]:
    made = []
    for _ in range(number):
        case = store.open_case("hob", "d", "owner", "van", NOON)
        store.append(case, Entry(NOON, "finding", "flame", "weak"))
        store.confirm(case, "grit", NOON)
        made.append(case)
    return made


def refused(deed: Callable[[], object]) -> None:
    """The deed is refused in one line that names the store and holds no password."""
    with pytest.raises(StoreRefused) as told:
        deed()
    assert str(told.value) == NOT_REACHED


def test_an_import_in_the_middle(own_server: Server, fault: Fault, mended: Fault, tmp_path: Path) -> None:
    path = write(tmp_path / "fleet.csv", [row(case=f"J{n}") for n in range(200)])
    url = own_server.url()
    _, spool = history(path).read()

    def batches() -> Iterator[Any]:
        for batch in spool:
            yield batch[:100]
            fault()
            yield batch[100:]

    with open_store(url) as store:
        own = confirmed(store, 1)
        refused(lambda: write_cases(store, "fleet", batches(), NOON))
        mended()
        # The same program goes on: its connection is made anew.
        assert [case.case for case in store.cases()] == own
        is_right(store)
        assert write_cases(store, "fleet", spool, NOON).added == 200
        is_right(store)
    with opened_and_right(url) as store:
        assert write_cases(store, "fleet", spool, NOON).already == 200
        assert len(store.cases()) == 201
    spool.close()


def test_a_confirmation_in_the_middle(
    own_server: Server, fault: Fault, mended: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    from diagnose.cases import store as module

    url = own_server.url()
    with open_store(url) as store:
        first, second = confirmed(store, 2)
        really = module.move_sums

        def half(*words: Any) -> None:
            really(*words)
            fault()

        with monkeypatch.context() as patch:
            patch.setattr(module, "move_sums", half)
            refused(lambda: store.confirm(second, "frost", NOON))
        mended()
        is_right(store)
        assert [store.case(case).cause for case in (first, second)] == ["grit", "grit"]
        store.confirm(second, "frost", NOON)
        store.confirm(second, "frost", NOON)
        is_right(store)
        assert store.tally("hob", NOON).causes == {"grit": 1.0, "frost": 1.0}


def test_a_case_by_its_code_a_merge_an_export_and_a_forgetting(
    own_server: Server, fault: Fault, mended: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = own_server.url()
    rows = (("hob", "grit", 2026, "cured", 3),)
    here = CaseRecord(0, "hob", "d", "owner", "referred", NOON, NOON, source="c0de", source_case="7")
    with open_store(url) as store:
        cases = confirmed(store, 3)
        deeds: list[tuple[str, Callable[[], object]]] = [
            ("diagnose.cases.arriving.move_sums", lambda: take_in(store, here, "grit", NOON)),
            (
                "diagnose.cases.merging._count_on",
                lambda: merge(store, [("f", Export("0" * 16, 1, rows))], NOON),
            ),
            ("diagnose.cases.exchange_making.read_export", lambda: make_export(store, 2026)),
            ("diagnose.cases.forgetting._drop_empty", lambda: forget(store, cases)),
        ]
        for place, deed in deeds:
            with monkeypatch.context() as patch:
                patch.setattr(place, lambda *_: fault())
                refused(deed)
            mended()
            is_right(store)
            assert store.tally("hob", NOON).causes == {"grit": 3.0}
            assert standing(store) == ()
        for _, deed in deeds[:3]:
            deed()
            deed() if deed is not deeds[2][1] else None
        assert store.tally("hob", NOON).causes == {"grit": 3.0 + 1 + 3}
        assert make_export(store, 2026)[0].number == 2
        is_right(store)


def test_a_migration_in_the_middle(
    own_server: Server, fault: Fault, mended: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = restored(own_server.url(), 1)
    with monkeypatch.context() as patch:
        patch.setattr("diagnose.cases.versions._note", lambda *_: fault())
        refused(lambda: open_store(url))
    mended()
    with opened_and_right(url) as store:
        assert [case.case for case in store.cases(oldest_first=True)] == [1, 2, 3, 4, 5, 6, 7]


WRITES_UNTIL_TOLD = """
import sys
from datetime import UTC, datetime
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.terms import DiagnoseError
now = datetime(2026, 3, 1, 12, tzinfo=UTC)
with open_store(sys.argv[1]) as store:
    try:
        while True:
            case = store.open_case("hob", "d", "owner", "", now)
            store.append(case, Entry(now, "finding", "flame", "weak"))
            store.confirm(case, "grit", now)
            print(case, flush=True)
    except DiagnoseError as error:
        print("told:", error, flush=True)
"""


def test_what_was_acknowledged_before_it_stopped_stands(
    own_server: Server, fault: Fault, mended: Fault, run: Callable[..., subprocess.Popen[str]]
) -> None:
    url = own_server.url()
    open_store(url).close()
    processes = [run(WRITES_UNTIL_TOLD, url) for _ in range(2)]
    said = [[process.stdout.readline() for _ in range(5)] for process in processes]  # type: ignore[union-attr]
    fault()
    # Read through the same pipes: what a line was read ahead of would be lost to `communicate`.
    told = [(process.stdout.read(), process.stderr.read()) for process in processes]  # type: ignore[union-attr]
    assert [process.wait(60) for process in processes] == [0, 0]
    mended()
    assert [error for _, error in told] == ["", ""]
    assert [out.splitlines()[-1] for out, _ in told] == [f"told: {NOT_REACHED}"] * 2
    acknowledged = [int(line) for lines in said for line in lines]
    acknowledged += [int(line) for out, _ in told for line in out.splitlines()[:-1]]
    with opened_and_right(url) as store:
        kept = {case.case: case for case in store.cases()}
        assert {kept[case].cause for case in acknowledged} == {"grit"}
        # Each of the two may have been at one more, which it was not told of.
        confirmed_now = sum(case.confirmed for case in kept.values())
        assert len(set(acknowledged)) == len(acknowledged) <= confirmed_now <= len(acknowledged) + 2
        assert store.tally("hob", NOON).total == confirmed_now
