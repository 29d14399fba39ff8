"""The program itself: killed while it brings cases in, at stores that may only be read, at damaged stores.

Whatever happens, what is said is one line, and `diagnose cases check` finds the sums right afterwards.
"""

from __future__ import annotations

import io
import json
import os
import random
import re
import signal
import tempfile
import time
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export, write_export
from diagnose.cases.merging import merge
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.cli import main
from diagnose.knowledge.collection import Library
from tests.cases.faults import command, opened_and_right, said_by
from tests.cases.test_older_stores import restored

CHECKOUT = Path(__file__).resolve().parents[2]
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
SYMPTOM = "water-pump"


@cache
def causes() -> list[str]:
    return ["+".join(each) for each in Library().tree(SYMPTOM).cut_sets][:2]


def fleet(path: Path, number: int) -> Path:
    lines = [f"J{n},2025-05-04,{SYMPTOM},{causes()[n % 2]},van {n % 9}" for n in range(number)]
    path.write_text("\n".join(["case,date,symptom,cause,vehicle", *lines]) + "\n")
    return path


def filled(url: str) -> None:
    """Twelve cases, half of them confirmed, and sums of another store."""
    tree = Library().tree(SYMPTOM)
    checks = [each for each in tree.checks.values() if each.reading is None][:3]
    theirs = Export("00c0ffee00c0ffee", 1, ((SYMPTOM, causes()[0], 2026, "cured", 3),))
    with open_store(url) as store:
        for number in range(12):
            case = store.open_case(SYMPTOM, tree.digest, "owner", f"van {number % 3}", NOON)
            for check in checks:
                store.append(case, Entry(NOON, "finding", check.id, check.answers[0].id))
            store.end_case(case, "referred", NOON, "workshop")
            if number % 2:
                store.confirm(case, causes()[number % 4 // 2], NOON)
        merge(store, [("f", theirs)], NOON)


# Killed ----------------------------------------------------------------------------------------------------


def checked(url: str) -> None:
    code, out, err = said_by(command("cases", "check", "--json", "--cases", url))
    assert (code, err) == (0, ""), out + err
    told = json.loads(out)
    assert (told["differences"], told["unsound"]) == ([], [])


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2))
def test_an_import_killed_while_it_writes(url: str, tmp_path: Path, seed: int) -> None:
    number, chance = 4000, random.Random(seed)
    open_store(url).close()
    file = fleet(tmp_path / "fleet.csv", number)
    process = command("cases", "import", str(file), "--cases", url)
    # On a server nothing is seen from outside; there it is killed at any time of its length.
    beside = tmp_path / "cases.sqlite-wal"
    deadline = time.monotonic() + (30 if "sqlite" in url else chance.uniform(0.5, 6))
    while time.monotonic() < deadline and process.poll() is None:
        if "sqlite" in url and beside.exists():
            time.sleep(chance.uniform(0, 0.6))
            break
        time.sleep(0.002)
    process.send_signal(signal.SIGKILL)
    out, _ = process.communicate(timeout=60)
    with opened_and_right(url) as store:
        here = len(store.cases())
    assert here in (0, number)
    assert here == number if f"{number:,}" in out else True
    checked(url)
    code, _, err = said_by(command("cases", "import", str(file), "--cases", url))
    assert (code, err) == (0, "")
    with opened_and_right(url) as store:
        assert store.tally(SYMPTOM, NOON).total == len(store.cases()) == number
    checked(url)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2))
def test_confirming_and_bringing_up_to_date_killed(url: str, seed: int) -> None:
    chance = random.Random(seed)
    restored(url, 1)
    cause = causes()[0]
    for _ in range(3):
        process = command("cases", "confirm", "3", cause, "--cases", url)
        time.sleep(chance.uniform(0.3, 2.5))
        process.send_signal(signal.SIGKILL)
        out, _ = process.communicate(timeout=60)
        with opened_and_right(url) as store:
            assert [case.case for case in store.cases(oldest_first=True)] == [1, 2, 3, 4, 5, 6, 7]
            assert not out or store.case(3).cause == cause
    assert said_by(command("cases", "confirm", "3", cause, "--cases", url))[0] == 0
    checked(url)


# Only to be read -------------------------------------------------------------------------------------------


@pytest.fixture
def reachable() -> Iterator[Path]:
    """A folder that another user can reach: root may write anywhere."""
    with tempfile.TemporaryDirectory(prefix="dxro") as name:
        Path(name).chmod(0o755)
        yield Path(name)
        Path(name).chmod(0o755)


def may_be_read_by_others(folder: Path) -> bool:
    """Whether another user may come to a folder: one who is not root reads the trees there."""
    return all(each.stat().st_mode & 0o001 for each in (folder, *folder.parents))


def as_an_ordinary_user(*words: str) -> tuple[int, str]:
    """Exit code and errors of the program, run in a copy of this process that is not root."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code, err = 99, io.StringIO()
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setresgid(65534, 65534, 65534)
                os.setresuid(65534, 65534, 65534)
            with redirect_stdout(io.StringIO()), redirect_stderr(err):
                main(words)
        except SystemExit as left:
            code = int(left.code or 0)
        finally:
            os.write(writing, f"{code} {err.getvalue()}".encode())
            os._exit(0)
    os.waitpid(child, 0)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as pipe:
        code_said, _, text = pipe.read().partition(" ")
    return int(code_said), text


@pytest.mark.parametrize("whose", ["file", "folder"])
def test_whatever_is_asked_of_a_store_that_may_only_be_read_is_told_in_one_line(
    reachable: Path, tmp_path: Path, whose: str
) -> None:
    if os.geteuid() == 0 and not may_be_read_by_others(CHECKOUT):
        assert not os.environ.get("CI"), f"an ordinary user may not read {CHECKOUT}"
        pytest.skip("an ordinary user may not read this checkout")
    path = reachable / "cases.sqlite"
    filled(str(path))
    theirs = reachable / "theirs.json"
    write_export(Export("0" * 16, 1, ((SYMPTOM, causes()[0], 2026, "cured", 3),)), theirs)
    file = fleet(reachable / "fleet.csv", 3)
    reachable.chmod(0o777 if whose == "file" else 0o555)
    path.chmod(0o444)
    before, beside = path.read_bytes(), sorted(reachable.iterdir())
    writable = tmp_path / "cases.sqlite"
    writable.write_bytes(before)
    deeds = [
        ["confirm", "2", causes()[0]], ["import", str(file)], ["merge", str(theirs)], ["list"],
        ["check", "--mend", "--yes"],
    ]  # fmt: skip
    for deed in deeds:
        # Where it may be written each of them goes well. (What is loaded by it, another user may not read.)
        assert said_in_this_process("cases", *deed, "--cases", str(writable)) == (0, "")
        assert as_an_ordinary_user("cases", *deed, "--cases", str(path)) == (
            1,
            f"the case store {path} cannot be written; allow writing to it and its folder, or name another "
            "with --cases\n",
        ), deed
    assert path.read_bytes() == before
    assert sorted(reachable.iterdir()) == beside


# Damaged ---------------------------------------------------------------------------------------------------


def said_in_this_process(*words: str) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as left:
        main(words)
    return int(left.value.code or 0), err.getvalue()


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("whole") / "cases.sqlite"
    filled(str(path))
    return path.read_bytes()


def spoilt(whole: bytes, seed: int) -> bytes:
    """A few bytes changed, in one bit or in all, cut off at any place in one of eight."""
    chance = random.Random(seed)
    data = bytearray(whole)
    used = [at for at, byte in enumerate(data) if byte]
    for _ in range(chance.choice([1, 1, 2, 5, 20])):
        at = chance.choice(used)
        data[at] = data[at] ^ (1 << chance.randrange(8)) if chance.random() < 0.6 else chance.randrange(256)
    return bytes(data[: chance.randrange(len(data))] if chance.randrange(8) == 0 else data)


@pytest.mark.parametrize("large", [False, True], ids=["small", "as if large"])
@pytest.mark.parametrize(
    "seeds", [range(3), pytest.param(range(3, 13), marks=pytest.mark.long)], ids=["few", "many"]
)
def test_a_spoilt_store_is_told_in_one_line_and_left_as_it_is_or_can_be_used(
    whole: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seeds: range, large: bool
) -> None:
    monkeypatch.setattr("diagnose.cases.judging._SOON", (0.0,))
    if large:
        monkeypatch.setattr("diagnose.cases.judging._WHOLE", 0)  # nothing is looked for before it is read
    told = 0
    for seed in seeds:
        path = tmp_path / str(seed) / "cases.sqlite"
        path.parent.mkdir()
        path.write_bytes(spoilt(whole, seed))
        told += _told(path)
    assert told


def _told(path: Path) -> int:
    """How many commands refuse it as damaged; none of them has a fault of its own."""
    told = 0
    deeds = [
        ["check"], ["list"], ["show", "1", "2"], ["trends"], ["export", "-o", f"{path.parent}/sums.json"],
        ["confirm", "2", causes()[1]], ["forget", "3", "--yes"], ["check", "--mend", "--yes"],
    ]  # fmt: skip
    for deed in deeds:
        before = path.read_bytes()
        code, err = said_in_this_process("cases", *deed, "--cases", str(path))
        assert code in (0, 1)
        assert len(err.splitlines()) <= 1
        assert "went wrong" not in err
        if "is damaged" in err:
            told += 1
            assert err.endswith(f"to put back a copy: diagnose cases restore COPY --cases {path}\n")
        if re.search("is damaged|no case store|has version", err) and deed[0] in ("list", "show", "trends"):
            assert path.read_bytes() == before
    return told


def test_the_way_back_that_is_told_leads_back(whole: bytes, tmp_path: Path) -> None:
    path, copy = tmp_path / "cases.sqlite", tmp_path / "kept.sqlite"
    path.write_bytes(whole)
    assert said_in_this_process("cases", "copy", "-o", str(copy), "--cases", str(path)) == (0, "")
    path.write_bytes(whole[:9000])
    _, err = said_in_this_process("cases", "list", "--cases", str(path))
    way = err.strip().partition("to put back a copy: diagnose ")[2].replace("COPY", str(copy)).split()
    assert said_in_this_process(*way) == (0, "")
    assert said_in_this_process("cases", "check", "--cases", str(path)) == (0, "")
    assert (tmp_path / "cases.sqlite.before-1").read_bytes() == whole[:9000]
    with opened_and_right(str(path)) as store:
        assert len(store.cases()) == 12
        assert make_export(store, 2026)[0].number == 1
