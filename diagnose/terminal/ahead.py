"""Loading what comes next while somebody reads, in threads that are done before the program ends.

A thread that is still importing a compiled library when Python shuts down can take the whole process down
with an abort. So the end waits for such threads: some tenths of a second as a rule, and whoever presses
Ctrl-C meanwhile leaves at once.
"""

from __future__ import annotations

import atexit
import os
import sys
from collections.abc import Callable
from threading import Thread

_threads: list[Thread] = []


def load_ahead(work: Callable[[], None]) -> None:
    """Begin some work in a thread of its own; the program's end waits for it."""
    if not _threads:
        atexit.register(_wait)
    # Not one of the threads that Python itself waits for: a Ctrl-C there would show a traceback.
    thread = Thread(target=work, daemon=True)
    _threads.append(thread)
    thread.start()


def _wait() -> None:
    """Wait for all that was begun; on Ctrl-C leave without any further tidying, all output being written."""
    try:
        for thread in _threads:
            thread.join()
    except KeyboardInterrupt:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(130)
