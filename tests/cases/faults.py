"""Ways to harm a store while something is done to it, and the question whether it is right afterwards."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

import diagnose
from diagnose.cases.checking import differences, integrity, journals_of_wrong_length
from diagnose.cases.store import CaseStore, open_store

Say = Callable[[object], None]
Deed = Callable[[Say], None]
"""Something done to a store, which says what is done and acknowledged as it goes."""

DONE = "all of it"
CHECKOUT = Path(diagnose.__file__).parents[1]


def is_right(store: CaseStore) -> None:
    """What `diagnose cases check` looks at: the file, the sums, the lengths of the journals."""
    assert integrity(store) == ()
    with store.reading() as connection:
        assert differences(connection) == ()
        assert journals_of_wrong_length(connection) == ()


class Killer:
    """Kills a deed, in a process that is a copy of this one, at moments drawn from a seed.

    The moments lie all over the time that it takes, the first one near its begin.
    """

    def __init__(self, seed: int) -> None:
        self._chance = Random(seed)
        self._takes = 0.0
        self.killed = 0
        """How many did not come to their end."""

    def let_be(self, deed: Deed) -> list[str]:
        """Has the deed done to its end, to see how long it takes; returns what it said."""
        start = time.perf_counter()
        said = said_in_a_copy(deed)
        self._takes = time.perf_counter() - start
        assert said[-1:] == [DONE], said
        return said[:-1]

    def kill(self, deed: Deed) -> list[str]:
        """What the deed had said when it was killed, or came to its end before."""
        start = time.perf_counter()
        child, reading = _start(deed)
        lives = self._chance.uniform(0, self._takes) * (1.0 if self.killed else 0.3)
        if not _has_ended(child, start + lives):
            os.kill(child, signal.SIGKILL)
        else:
            self._takes = min(self._takes, time.perf_counter() - start)
        said = _heard(child, reading)
        if said[-1:] == [DONE]:
            return said[:-1]
        self.killed += 1
        return said


def _has_ended(child: int, until: float) -> bool:
    """Whether a process ends before that moment; whoever waits for it still can."""
    while time.perf_counter() < until:
        if os.waitid(os.P_PID, child, os.WEXITED | os.WNOWAIT | os.WNOHANG) is not None:
            return True
        time.sleep(0.0005)
    return False


def said_in_a_copy(deed: Deed) -> list[str]:
    """What the deed says in a process of its own; `DONE`, or what it raised, comes last."""
    return _heard(*_start(deed))


def at_once(*deeds: Deed) -> list[list[str]]:
    """Has all of them done at the same time, each in a copy of this process; returns what each said."""
    held, let_go = os.pipe()
    started = [_start(deed, held) for deed in deeds]
    os.close(held)
    os.write(let_go, b"!" * len(deeds))
    os.close(let_go)
    return [_heard(*each) for each in started]


def _start(deed: Deed, held: int | None = None) -> tuple[int, int]:
    """The process, and the pipe with what it says; it begins once there is something to read from `held`."""
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of threads, which the copy does not use
        child = os.fork()
    if child == 0:
        try:
            if held is not None:
                os.read(held, 1)
            deed(lambda word: os.write(writing, f"{word}\n".encode()) and None)
            os.write(writing, f"{DONE}\n".encode())
        except BaseException as error:
            os.write(writing, f"{type(error).__name__}: {error}\n".encode())
        finally:
            os._exit(0)
    os.close(writing)
    return child, reading


def _heard(child: int, reading: int) -> list[str]:
    with os.fdopen(reading, encoding="utf-8") as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said.splitlines() if said.endswith("\n") else said.splitlines()[:-1]


@contextmanager
def opened_and_right(url: str) -> Iterator[CaseStore]:
    """The store opened anew after a fault: sound, with the right sums."""
    with open_store(url) as store:
        is_right(store)
        yield store


def command(*words: str, **environment: str) -> subprocess.Popen[str]:
    """The program itself as a process, from this checkout; `environment` is added to that of this process."""
    return subprocess.Popen(
        [sys.executable, "-m", "diagnose", *words],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(CHECKOUT), "COLUMNS": "80"} | environment,
    )


def said_by(process: subprocess.Popen[str]) -> tuple[int, str, str]:
    """Exit code, standard output and standard error of a process that ends by itself."""
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err
