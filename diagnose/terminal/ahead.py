"""Doing what comes next while somebody reads, in threads that are done before the program ends.

A thread that is still importing or running a compiled library when Python shuts down can take the whole
process down with an abort. So the end waits for such threads: some tenths of a second as a rule, and whoever
presses Ctrl-C meanwhile leaves at once.
"""

from __future__ import annotations

import atexit
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from threading import Event, Lock, Thread

PAUSE = 0.2
"""Seconds before a piece of work begins: the page is printed first, and who answers at once needs none."""

_threads: list[Thread] = []
_ending = Event()


def load_ahead(work: Callable[[], None]) -> None:
    """Begin some work in a thread of its own; the program's end waits for it."""
    if not _threads:
        atexit.register(_wait)
    _threads[:] = [thread for thread in _threads if thread.is_alive()]
    # Not one of the threads that Python itself waits for: a Ctrl-C there would show a traceback.
    thread = Thread(target=work, daemon=True)
    _threads.append(thread)
    thread.start()


def ending() -> bool:
    """Whether the program is about to end, so that what is begun ahead is in vain."""
    return _ending.is_set()


class OneAtATime:
    """Works in the background at one piece at a time; of those that wait only the latest is begun.

    A piece of work is told by what it is called with whether it was given up: for a later one, or for the
    end of the program. What goes wrong in it is its own loss: it is only ever an improvement.
    """

    def __init__(self, pause: float = PAUSE) -> None:
        self._pause = pause
        self._lock = Lock()
        self._waiting: Callable[[Callable[[], bool]], None] | None = None
        self._at_work = False

    def __call__(self, work: Callable[[Callable[[], bool]], None]) -> None:
        """Begin a piece of work, and return at once."""
        with self._lock:
            self._waiting = work
            begin, self._at_work = not self._at_work, True
        if begin:
            load_ahead(self._run)

    def _run(self) -> None:
        while True:
            _ending.wait(self._pause)
            with self._lock:
                work, self._waiting = self._waiting, None
                if work is None or _ending.is_set():
                    self._at_work = False
                    return
            with suppress(Exception):
                work(self._given_up)

    def _given_up(self) -> bool:
        return self._waiting is not None or _ending.is_set()


def _wait() -> None:
    """Wait for all that was begun; on Ctrl-C leave without any further tidying, all output being written."""
    _ending.set()
    try:
        for thread in _threads:
            thread.join()
    except KeyboardInterrupt:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(130)
