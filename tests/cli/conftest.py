"""Runs the program with pipes at both ends and its own folders, in this process: that is much faster."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.cli.card_of_the_van import CARD


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
