"""A real terminal for tests (a pty of a given size with a screen behind it), a small tree, whole visits."""

from __future__ import annotations

import atexit
import faulthandler
import gc
import os
import re
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import partial
from pathlib import Path

import pexpect
import pyte
import pytest

from diagnose.knowledge.collection import Library
from diagnose.terminal.desk import Desk
from diagnose.terminal.visiting import Visit
from tests.terminal.typed import START, Typing

PATIENCE = 15.0
"""Seconds that a text may take to appear: the machine may be busy, and nothing is ever waited for in vain."""

LAMP = """
symptom: The lamp over the table stays dark
system: habitation-electrics
also_said: [table lamp dead, light over the table is out]
refer_to: workshop
cured_when: {ask: Has the lamp burned for a minute?, minutes: 2}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 40
      remedy: {do: Press the switch at the lamp, by: owner, hands: controls, minutes: 1, at: kitchen}
      prevent: Leave the switches on at the lay-up
    bulb-gone:
      says: The bulb has gone
      in_100: 35
      remedy: {do: Put a new bulb in, by: owner, hands: controls, minutes: 5, wait: 600, price: 4, cures: 0.9}
      prevent: Keep two bulbs of the right kind in the drawer
    line-dead:
      says: No current comes to the lamp
      in_100: 20
      remedy: {refer: workshop}
      prevent: Have the wiring looked at with the yearly check
checks:
  switch-click:
    ask: Which way does the switch stand?
    how: Look at the mark on it.
    hands: look
    by: owner
    minutes: 1
    at: kitchen
    answers: {on: It stands at on, off: It stands at off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
  volts-at-lamp:
    ask: What does the panel show in volts?
    hands: look
    by: owner
    minutes: 2
    reading: {unit: V, range: [0, 16], uncertainty: 0.1}
    bands: {dead: {below: 6}, alive: {from: 6}}
    expect: {line-dead: {dead: almost certain}, otherwise: {alive: almost certain}}
sources: [shares are judgement]
"""


@pytest.fixture
def lamp(tmp_path: Path) -> Path:
    """A tree of one's own, outside the shipped ones."""
    folder = tmp_path / "trees"
    folder.mkdir()
    file = folder / "lamp-dark.yaml"
    file.write_text(LAMP, encoding="utf-8")
    return file


@pytest.fixture
def surroundings(tmp_path: Path) -> dict[str, str]:
    """The environment of a program under test: its own folders, a plain terminal type, no colour wish."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("DIAGNOSE_", "XDG_"))}
    for unwanted in ("NO_COLOR", "COLUMNS", "LINES", "TERM"):
        kept.pop(unwanted, None)
    root = Path(__file__).resolve().parents[2]
    # What is offered after a walk would stand at the end of every test; those that want it take this away.
    data = tmp_path / "leisure-fault-diagnosis"
    data.mkdir(exist_ok=True)
    (data / "card-offer.json").write_text('{"asked": "2026-01-01", "for_good": true}\n')
    return kept | {
        "HOME": str(tmp_path),
        "DIAGNOSE_CASES": str(tmp_path / "cases.sqlite"),
        "DIAGNOSE_CACHE": os.environ["ROUTES_OF_THIS_RUN"],
        "XDG_CONFIG_HOME": str(tmp_path),
        "XDG_DATA_HOME": str(tmp_path),
        "TERM": "xterm-256color",
        "LC_ALL": "C.UTF-8",
        "PYTHONPATH": str(root),
    }


def _become_the_program(arguments: list[str], environment: dict[str, str]) -> None:
    """Run the program in a process that was forked from a test's: its libraries need not be loaded again.

    It has the pty as its own terminal and gets its own signals; nothing else of the test is left to it.
    """
    os.closerange(3, 4096)
    gc.freeze()  # nothing that the tests still hold is given back by this process
    faulthandler.disable()
    atexit._clear()
    signal.signal(signal.SIGINT, signal.default_int_handler)
    os.environ.clear()
    os.environ.update(environment)
    sys.stdin, sys.stdout, sys.stderr = (
        os.fdopen(at, "w" if at else "r", encoding="utf-8") for at in range(3)
    )
    sys.__stdin__, sys.__stdout__, sys.__stderr__ = sys.stdin, sys.stdout, sys.stderr
    sys.argv = ["diagnose", *arguments]
    code = 70
    try:
        from diagnose.cli import main

        main(arguments)
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else int(left.code is not None)
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        atexit._run_exitfuncs()
        os._exit(code)


class Terminal:
    """The program at a pty; what it wrote is fed to a screen and kept as text."""

    def __init__(
        self, arguments: list[str], environment: dict[str, str], columns: int, rows: int, afresh: bool
    ) -> None:
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "diagnose", *arguments],
            env=environment,
            dimensions=(rows, columns),
            timeout=PATIENCE,
            cwd=environment["HOME"],
            preexec_fn=None if afresh else partial(_become_the_program, arguments, environment),
        )
        self.screen = pyte.HistoryScreen(columns, rows, history=5000)
        self.stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self.seen = 0

    def see(self, text: str) -> None:
        """Wait until the text shows, behind what was seen before; line ends count as spaces."""
        end = time.monotonic() + PATIENCE
        while True:
            place = self.words().find(text, self.seen)
            if place >= 0:
                self.seen = place + len(text)
                return
            if time.monotonic() > end or not self._read():
                raise AssertionError(f"{text!r} did not show; what did:\n{self.text()}")

    def type(self, text: str) -> None:
        """Type a line."""
        self.child.send(text + "\r")

    def press(self, keys: str) -> None:
        """Press keys without Enter."""
        self.child.send(keys)

    def end(self) -> int:
        """Wait for the end of the program; returns its exit code (minus a signal's number)."""
        while self._read():
            pass
        self.child.close()
        return self.child.exitstatus if self.child.exitstatus is not None else -self.child.signalstatus

    def lines(self) -> list[str]:
        """Everything that was ever on the screen, line by line."""
        above = [
            "".join(line[x].data for x in range(self.screen.columns)) for line in self.screen.history.top
        ]
        return [line.rstrip() for line in (*above, *self.screen.display)]

    def text(self) -> str:
        """The same as one text."""
        return "\n".join(self.lines())

    def words(self) -> str:
        """The same with single spaces."""
        return re.sub(r"\s+", " ", self.text())

    def _read(self) -> bool:
        try:
            data = self.child.read_nonblocking(4096, timeout=PATIENCE)
        except (pexpect.EOF, pexpect.TIMEOUT):
            return False
        self.raw += data
        self.stream.feed(data)
        return True


Open = Callable[..., Terminal]


@pytest.fixture
def terminal(surroundings: dict[str, str]) -> Iterator[Open]:
    """`terminal("walk", "water-pump", columns=40)` starts the program; what is left over is ended.

    It takes half a second to load the libraries, so the process is forked from the test's own. With
    `afresh=True` it is a new one of Python's, as at a shell.
    """
    opened: list[Terminal] = []

    def start(
        *arguments: str, columns: int = 80, rows: int = 24, afresh: bool = False, **environment: str
    ) -> Terminal:
        opened.append(Terminal(list(arguments), surroundings | environment, columns, rows, afresh))
        return opened[-1]

    yield start
    for each in opened:
        each.child.close(force=True)


@pytest.fixture
def folder(lamp):
    tree = lamp.read_text(encoding="utf-8")
    seen = tree.replace("remedy: {refer: workshop}", "remedy: {see: lamp-flickers}").replace(
        "the table stays dark", "the bed stays dark"
    )
    (lamp.parent / "bed-lamp-dark.yaml").write_text(seen.replace("table lamp dead", "bed lamp dead"))
    other = tree.replace("The lamp over the table stays dark", "The lamp flickers")
    (lamp.parent / "lamp-flickers.yaml").write_text(other.replace("table lamp dead", "flickering"))
    return lamp.parent


@pytest.fixture
def visit(folder, tmp_path, monkeypatch):
    """`visit("line", ...)` visits with these lines typed; returns the exit code and what was said."""
    monkeypatch.setenv("DIAGNOSE_CACHE", os.environ["ROUTES_OF_THIS_RUN"])
    monkeypatch.chdir(tmp_path)

    def come(*typed, words="", resume=None, days=0.0, vehicle=""):
        console = Typing(*typed)
        come.said = console.text
        desk = Desk(
            Library((folder,)),
            str(tmp_path / "cases.sqlite"),
            vehicle=vehicle,
            clock=lambda: START + timedelta(days=days),
        )
        try:
            code = Visit(console, desk).run(words, resume)
        finally:
            desk.close()
        assert not console.typed, f"not all lines were asked for; said: {console.text()}"
        return code, console.text()

    return come


@pytest.fixture
def stored(tmp_path):
    """The cases as they are stored now, by number."""
    from diagnose.cases.store import open_store

    def read():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return {record.case: record for record in store.cases()}

    return read
