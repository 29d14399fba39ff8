"""A folder with a tree and a store of two cases, in which the program runs."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import MINUTE, NOON, STEP_STUCK


@pytest.fixture(scope="session")
def two_cases(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a store with a cured case that was walked to and fro, and one that was handed on."""
    file = tmp_path_factory.mktemp("two-cases") / "cases.sqlite"
    with open_store(str(file)) as store:
        case = store.open_case("step-stuck", "of old", "owner", "the blue van", NOON)
        lines = (
            ("shown", "pinch", None, None),
            ("finding", "squeak", "no", None),
            ("back", "2", None, None),
            ("finding", "squeak", "not-sure", None),
            ("finding", "volts", "low", 11.25),
            ("tried", "damp+cold", "could-not", None),
            ("tried", "grit", "cured", None),
            ("cured-when", "grit", "yes", None),
            ("left-off", "", None, None),
            ("resumed", "", None, None),
            ("finding", "gone-long-ago", "yes", None),
        )
        for number, (kind, subject, answer, value) in enumerate(lines):
            store.append(case, Entry(NOON + number * MINUTE, kind, subject, answer, value))  # type: ignore[arg-type]
        store.end_case(case, "cured", NOON, points_to="grit")
        case = store.open_case("step-stuck", "of old", "technician", "", NOON + timedelta(days=2))
        store.end_case(case, "referred", NOON, referral="workshop")
    return file


@pytest.fixture
def place(two_cases: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder with a tree and a store of two cases; the commands look there. Times are shown in UTC."""
    trees = tmp_path / "trees"
    trees.mkdir()
    (trees / "step-stuck.yaml").write_text(STEP_STUCK, encoding="utf-8")
    shutil.copy(two_cases, tmp_path / "cases.sqlite")
    monkeypatch.setenv("DIAGNOSE_TREES", str(trees))
    monkeypatch.setenv("DIAGNOSE_CASES", str(tmp_path / "cases.sqlite"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield tmp_path
    monkeypatch.undo()
    time.tzset()
