"""How far a long import has come, on a terminal's line of its own; nothing at all where stderr is none."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_shown() -> Iterator[Callable[[str, float], None]]:
    """Passes a function that hears what is being done and how much of it is, from 0 to 1."""
    stream = sys.stderr
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM", "") in ("dumb", "unknown")
    if plain or stream is None or not stream.isatty():
        yield lambda _what, _part: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    bar_column = BarColumn(bar_width=None)
    columns = (TextColumn("{task.description}"), bar_column, TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        tasks: dict[str, object] = {}

        def show(what: str, part: float) -> None:
            if what not in tasks:
                tasks[what] = bar.add_task(what, total=1.0)
            bar.update(tasks[what], completed=part)  # type: ignore[arg-type]

        yield show
