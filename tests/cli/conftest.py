"""Runs the program with pipes at both ends and its own folders, in this process: that is much faster."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from tests.cli.card_of_the_van import CARD
from tests.cli.handed_on_case import STEP_STUCK, handed_on, tree_at


@dataclass(frozen=True)
class Ran:
    """What a run wrote and how it ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """`run("walk", "water-pump", typed="1\\n", NO_COLOR="1")` runs the program as the command line does."""
    from diagnose.cli import main

    cache = os.environ["ROUTES_OF_THIS_RUN"]

    def ran(*arguments: str, typed: str = "", **environment: str) -> Ran:
        out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
        with monkeypatch.context() as patch:
            patch.chdir(tmp_path)
            for name in [name for name in os.environ if name.startswith("DIAGNOSE_")] + ["COLUMNS"]:
                patch.delenv(name, raising=False)
            own = {"DIAGNOSE_CASES": str(tmp_path / "cases.sqlite"), "DIAGNOSE_CACHE": cache}
            for name, value in (
                own | {"XDG_CONFIG_HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)} | environment
            ).items():
                patch.setenv(name, value)
            patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(typed.encode()), encoding="utf-8"))
            patch.setattr(sys, "stdout", out)
            patch.setattr(sys, "stderr", err)
            with pytest.raises(SystemExit) as left:
                main(list(arguments))
        return Ran(int(left.value.code or 0), _written(out), _written(err))

    return ran


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return buffer.getvalue().decode()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """The card of the van, in the folder in which the program runs."""
    path = tmp_path / "van.yaml"
    path.write_text(CARD, encoding="utf-8")
    return path


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs the program as the console script does: exit code, standard output, standard error."""
    from diagnose.cli import main

    def run(*words: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as ended:
            main(words)
        shown = capsys.readouterr()
        return int(ended.value.code or 0), shown.out, shown.err

    return run


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tree, and a store in which case 1 was handed on; the commands look there."""
    folder = tmp_path / "trees"
    folder.mkdir()
    (folder / "step-stuck.yaml").write_text(STEP_STUCK, encoding="utf-8")
    monkeypatch.setenv("DIAGNOSE_TREES", str(folder))
    monkeypatch.setenv("DIAGNOSE_CASES", str(tmp_path / "owner.sqlite"))
    monkeypatch.setenv("COLUMNS", "100")
    with open_store(str(tmp_path / "owner.sqlite")) as store:
        handed_on(store, tree_at(tmp_path))
    return tmp_path


@pytest.fixture
def workshop(place: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The store of another machine, which is where the commands look now; it is not there yet."""
    monkeypatch.setenv("DIAGNOSE_CASES", str(place / "workshop.sqlite"))
    return place / "workshop.sqlite"
